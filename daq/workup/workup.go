package workup

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"joulewell/daq"
	"joulewell/daq/analysis"
	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/setup"
	"joulewell/daq/trials"
	"joulewell/daq/trials/kept"
	"joulewell/daq/upkeep"
)

// Refusals.
var (
	ErrBare    = errors.New("its metadata file is missing: apparatus and calibration stand there")
	ErrMissing = errors.New("rows are missing")
	ErrLong    = errors.New("the run is too long for this")
)

// Options say what neither folder nor book does.
type Options struct {
	Book     upkeep.Book
	MostRows int                                          // [1] of a longer run, none is worked out; 0 = no bound
	Analysis func(*setup.Bench) (analysis.Options, error) // nil = none
}

// Run is a run worked out, with what lies beside it.
type Run struct {
	Name   string // without extension
	Meta   *runfile.Meta
	Whole  *analysis.Run
	Trials []trials.Row
	Kept   bool   // Trials were kept when they were made, else they were judged now
	Group  string // that made them, where that is kept; may be empty
	Used   []upkeep.Entry
	Notes  []string // what must be known of the file
}

// mostJudged bounds the rows that are held at once, 280 bytes each, to judge trials that
// nobody kept.
const mostJudged = 120_000

// usualCycles end a trial, as they do where nobody says (joulewell trials).
const usualCycles = 10

// Open works out the run called name, without extension, in dir. It gives up when ctx
// ends while rows are read.
func Open(ctx context.Context, dir *os.Root, name string, o Options) (*Run, error) {
	reader, err := runfile.OpenNamed(dir, name)
	if err != nil {
		return nil, err
	}
	defer reader.Close()
	r := &Run{Name: name, Meta: reader.Meta()}
	if r.Meta == nil {
		return nil, ErrBare
	}
	if o.MostRows > 0 && r.Meta.Rows > uint64(o.MostRows) {
		return nil, fmt.Errorf("%w: %d rows", ErrLong, r.Meta.Rows)
	}
	b := &r.Meta.Setup
	var options analysis.Options
	if o.Analysis != nil {
		if options, err = o.Analysis(b); err != nil {
			return nil, err
		}
	}
	k, err := kept.Read(dir, name)
	switch {
	case err == nil:
		r.Trials, r.Group, r.Kept = k.Trials, k.Group, true
	case !errors.Is(err, fs.ErrNotExist):
		r.Notes = append(r.Notes, err.Error())
	}
	rows := &watched{ctx: ctx, rows: reader, most: o.MostRows, hold: !r.Kept && r.Meta.Rows <= mostJudged}
	r.Whole, err = analysis.Analyse(rows, b, options)
	if err == nil || errors.Is(err, analysis.ErrNothing) {
		if missing := r.whole(rows.count); missing != nil {
			err = missing
		}
	}
	if err != nil {
		return nil, err
	}
	r.Used = o.Book.Used(b, r.Meta.Created)
	return r, r.judge(rows.held)
}

// whole refuses a file that does not hold the rows it was closed with, and notes what
// else went wrong while it was written.
func (r *Run) whole(rows int) error {
	m := r.Meta
	if m.Complete && m.Rows != uint64(rows) {
		return fmt.Errorf("%w: it holds %d, its metadata file says %d: fetch the file anew from the bench", ErrMissing, rows, m.Rows)
	}
	if !m.Complete {
		r.Notes = append(r.Notes, "the run was cut short: readings that followed its last row are not in it")
	}
	if m.Lost > 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("%d rows could not be kept", m.Lost))
	}
	if m.Trouble != "" {
		r.Notes = append(r.Notes, m.Trouble)
	}
	return nil
}

// judge fills in the trials where none are kept.
func (r *Run) judge(held []frame.Frame) error {
	if r.Kept {
		return nil
	}
	if held == nil {
		r.Notes = append(r.Notes, fmt.Sprintf("its trials are not judged here, for it has more than %d rows: joulewell trials does that", mostJudged))
		return nil
	}
	n := 0 // rows that have got the uncertainties that no file holds, in place of those read
	if err := daq.Rework(&list{held}, &r.Meta.Setup, func(_, again *frame.Frame) { held[n] = *again; n++ }); err != nil {
		return err
	}
	all, err := trials.Split(held, &r.Meta.Setup, trials.Rule{Cycles: usualCycles})
	if err != nil {
		return err
	}
	for _, t := range all {
		t.Row.Run = r.Name + ".csv"
		r.Trials = append(r.Trials, t.Row)
	}
	return nil
}
