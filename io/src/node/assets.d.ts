/** Folded into the code by the bundler as a data address. */
declare module '@fontsource/barlow/files/barlow-latin-400-normal.woff?inline' {
  const address: string;
  export default address;
}
