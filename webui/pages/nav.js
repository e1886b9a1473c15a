// The pages there are, by their path; fillPages puts them where a page asks for them.

/** @type {readonly [string, string][]} */
export const PAGES = Object.freeze([['/', 'Show'], ['/trials', 'Trials'], ['/balance', 'Balance'], ['/upkeep', 'Upkeep'], ['/class', 'Class']]);
