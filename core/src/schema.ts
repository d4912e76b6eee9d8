/**
 * The door of the workshop document's schema. It stands apart from the rest of the core because it brings the
 * validation library with it, which drawing a camera does not need.
 */
export { checkedChange, checkedWorkshop, parseWorkshop, serialiseWorkshop } from './log/file.ts';
export { workshopJsonSchema } from './log/json-schema.ts';
