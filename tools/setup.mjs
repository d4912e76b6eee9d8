/** `npm run setup`: installs what is missing and builds; both are skipped when nothing has changed. */
import { ensureBuilt, ensureInstalled } from './ensure.mjs';

ensureInstalled();
ensureBuilt();
console.error('Ready: npx camerawright --help');
