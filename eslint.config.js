import svelte from 'eslint-plugin-svelte';
import tseslint from 'typescript-eslint';

/** What the compiler cannot see: the core must not reach for clock, chance, locale or hidden state. */
const pureCore = {
  'no-restricted-globals': [
    'error',
    ...['globalThis', 'window', 'document', 'process', 'performance', 'crypto', 'fetch', 'console', 'setTimeout'].map((name) => ({
      name,
      message: 'The core is pure: take it as an argument, or move the code to io.',
    })),
  ],
  'no-restricted-properties': [
    'error',
    { object: 'Date', property: 'now', message: 'The core gets times as arguments.' },
    { object: 'Math', property: 'random', message: 'The core gets randomness as an argument (a seeded generator).' },
  ],
  'no-restricted-syntax': [
    'error',
    { selector: "NewExpression[callee.name='Date'][arguments.length=0]", message: 'The core gets times as arguments.' },
    {
      selector: 'MemberExpression[property.name=/^(toLocale.*|getHours|getMinutes|getDate|getDay|getMonth|getFullYear|getTimezoneOffset)$/]',
      message: 'The core knows no locale and no local time.',
    },
    { selector: "Program > VariableDeclaration[kind='let']", message: 'The core has no module state.' },
    { selector: "Program > ExportNamedDeclaration > VariableDeclaration[kind='let']", message: 'The core has no module state.' },
    { selector: 'ExportAllDeclaration', message: 'Name what is exported; the public surface is planned.' },
    { selector: 'ThrowStatement > Literal', message: 'Throw InputError, FormatError or ModelError.' },
    {
      selector: "ThrowStatement > NewExpression[callee.name='Error']",
      message: 'Throw InputError, FormatError or ModelError; bugs go through unreachable().',
    },
  ],
};

export default tseslint.config(
  { ignores: ['dist/**', 'node_modules/**', '**/*.d.ts', 'docs/**'] },
  ...tseslint.configs.recommended,
  ...svelte.configs.recommended,
  {
    files: ['**/*.svelte', '**/*.svelte.ts'],
    languageOptions: { parserOptions: { parser: tseslint.parser } },
  },
  {
    rules: {
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_' }],
      '@typescript-eslint/consistent-type-imports': 'error',
      'max-lines': ['error', { max: 600, skipBlankLines: true, skipComments: true }],
      eqeqeq: 'error',
      'no-console': 'error',
    },
  },
  { files: ['cli/**', 'tools/**', 'bench/**', 'bin/**', 'reference/**', 'demo/**'], rules: { 'no-console': 'off' } },
  { files: ['**/*.svelte'], rules: { 'svelte/no-navigation-without-resolve': 'off' } },
  { files: ['core/src/**/*.ts'], ignores: ['**/*.test.ts'], rules: pureCore },
  { files: ['core/src/errors.ts'], rules: { 'no-restricted-syntax': 'off' } },
);
