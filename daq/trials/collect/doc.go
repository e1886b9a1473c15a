// Package collect answers: which trials lie in these files and folders?
//
// In: paths of run files, of folders of runs, and of tables of trials. Out: what is kept
// of each run's trials, the oldest run first, and in a sentence each what could not be
// taken, or must be known: a table of another program, a run without its description, a
// file cut short or changed. None of that stops the rest.
//
// What is kept beside a run is read; a run of which nothing is kept is worked out anew.
// Nothing is written unless asked for.
package collect
