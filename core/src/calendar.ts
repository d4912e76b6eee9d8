/**
 * The door of calendar files. It stands apart from the rest of the core because it brings the calendar library with
 * it, which answering a question does not need.
 */
export { calendarFile } from './calendar/calendar.ts';
export type { Reminder } from './calendar/calendar.ts';
