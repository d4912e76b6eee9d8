/** Files that the bundler copies and whose address the import gives. */
declare module 'wasm-vips/vips.wasm?url' {
  const address: string;
  export default address;
}
