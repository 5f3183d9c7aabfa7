// Page: how the scripts of the round find what stands in it.
export const one = <T extends Element>(query: string, within: ParentNode = document) =>
  within.querySelector<T>(query)!;
export const all = <T extends Element>(query: string, within: ParentNode = document) =>
  Array.from(within.querySelectorAll<T>(query));
export const round = () => one<HTMLElement>("#round");
export const words = (name: string) => one<HTMLElement>("#words").dataset[name] ?? "";
export const potOf = (label: string) =>
  all<HTMLElement>(".pot", round()).find((pot) => pot.dataset.label === label);
