// Package upkeep answers: what was found about this bench's sensors and spring, when, by
// whom, and does it still count?
//
// In: readings at rest, references typed by a person, and the calibration book, a TOML
// file to which entries are only ever added. Out: the bench as the newest entries say it
// is, and what is old, overdue, or about a part that was since changed. It refuses a book
// that somebody has spoiled by hand, naming the entry, and then writes nothing into it.
//
// Procedures are computed by the packages of calib; what lies here is which reading is
// steady, which step is next, and what is kept.
package upkeep
