// Package series answers: how does a class make one trial after another without a hand on
// the keyboard, and what has come of them?
//
// In: the live frames of a bench, the rule by which a trial is over, and the label of the
// group at work. Out: a run file for each release, from the hold before it to the end of
// the trial; its trials, judged from the finished file alone, so that whoever opens the
// file finds the same; all trials of the data folder ([View]); and the worksheet of a
// trial, whose answers can be sealed until a class has handed in its own.
//
// Trials that do not count are kept with their reason. Nothing about persons is asked
// for: a group's label is what the class chooses.
//
// It refuses a rule that cannot be and trials that are not there. What the disk refuses
// is told as trouble, kept in memory and tried again.
package series
