// Package runfile answers: where does a run lie on the disk, and is all of it there?
//
// In: one [frame.Frame] a reading, and a [Meta] that says what hung where. Out: a
// CSV file by RFC 4180 (NAME.csv) and beside it a table description by the W3C's
// CSV on the Web (NAME.csv-metadata.json); and frames again when such a file is
// read. README.md beside this file is the reference for both.
//
// A run being recorded is called NAME.csv.part until it is closed. Rows reach the
// file in whole rows only. A crash of the program costs at most the rows of the
// last [Options.FlushEvery], a power cut at most those of the last
// [Options.SyncEvery] and what one fsync takes; [Repair] makes a run file of what
// is left. The recorder never makes its caller wait for the disk.
//
// The package refuses to write over anything, to read a table that is not a run
// file, and to take a successful fsync as proof after one that was not.
package runfile
