/** Names of the maker's own within our sentences. */

/** `the Walnut half-plate`, but `My first box`. */
export function theCamera(name: string): string {
  return /^(the|my|our|a|an)\s/i.test(name) ? name : `the ${name}`;
}
