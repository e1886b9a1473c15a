// Package tidy answers: how do trials stand in a table that other programs read?
//
// In: kept trials. Out: CSV by RFC 4180 with one row a trial and one column a quantity,
// units in the names, UTF-8 without a byte order mark, point in numbers, LF at line ends,
// TRUE and FALSE, an empty field where nothing is known. Spreadsheets, R and pandas read it without
// options.
//
// And back: a table that a person's spreadsheet has saved again, with semicolons or tabs,
// decimal commas, a byte order mark, columns in another order or left out. What a row
// does not say is not known; a row that cannot be read is told and the others are taken.
//
// Text that people chose (labels, names) never begins with a character that makes a
// spreadsheet take it for a formula: an apostrophe is put before it, and taken off again.
package tidy
