// The package's plain entry is a script that Node takes for a module; the module build beside it has no types of its own.
declare module 'maxrects-packer/dist/maxrects-packer.mjs' {
  export { MaxRectsPacker, PACKING_LOGIC } from 'maxrects-packer';
}
