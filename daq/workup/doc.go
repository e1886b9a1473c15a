// Package workup answers: what is there to say of a recorded run, all told?
//
// In: the name of a run in a folder, and the calibration book of its bench. Out: a [Run]:
// the run worked out as a whole, its trials as they were kept or else judged now, the
// calibrations it went by, and what must be known of its file. The same folder gives the
// same result, whenever and wherever it is asked.
//
// It refuses tables that are not run files, runs without their metadata file, runs of which rows
// are missing, runs longer than [Options] allow, and runs in which nothing can be worked
// out; each with a sentence that says what to do.
package workup
