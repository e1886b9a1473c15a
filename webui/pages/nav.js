// The pages there are, by their path; fillPages puts them where a page asks for them.

/** @type {readonly [string, string][]} */
export const PAGES = Object.freeze([['/', 'Show'], ['/balance', 'Balance'], ['/upkeep', 'Upkeep']]);
