/** Names of the maker's own and numbers of things within our sentences. */

/** `the Walnut half-plate`, but `My first box`. */
export function theCamera(name: string): string {
  return /^(the|my|our|a|an)\s/i.test(name) ? name : `the ${name}`;
}

/** `1 scan`, `3 scans`. */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}
