package daq

import (
	"bytes"
	"errors"
	"io"

	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/setup"
)

// Rows gives the rows of a recorded run one by one, io.EOF at the end.
type Rows interface {
	Next(f *frame.Frame) error
}

// Rework works a recorded run out again from its raw columns with setup b, and calls
// each with every row as recorded and as it comes out now. With the run's own setup,
// and no row lost, the two are equal at every printed digit.
func Rework(rows Rows, b *setup.Bench, each func(recorded, again *frame.Frame)) error {
	deriver, err := NewDeriver(b)
	if err != nil {
		return err
	}
	var recorded []frame.Frame // rows whose frames have not come out yet
	match := func(again []frame.Frame) {
		for i := range again {
			again[i].Flags |= recorded[i].Flags & frame.Gap // the recorder's own mark
			each(&recorded[i], &again[i])
		}
		recorded = append(recorded[:0], recorded[len(again):]...)
	}
	for {
		var f frame.Frame
		switch err := rows.Next(&f); {
		case errors.Is(err, io.EOF):
			match(deriver.Flush())
			return nil
		case err != nil:
			return err
		}
		recorded = append(recorded, f)
		match(deriver.Push(&Timed{T: f.T, Epoch: f.Epoch, Reading: f.Reading}))
	}
}

// Comparison says how a run as recorded compares with itself as worked out again.
type Comparison struct {
	Rows       int    // [1]
	Differing  int    // [1] rows with another digit in them
	First      int    // [1] the first of these, counted from 1; 0 = none
	Column     string // the first column that differs in it
	Unfinished int    // [1] rows at the end of a run cut short that may differ and do
}

// Compare works a run out again with its own setup and counts the rows that come out
// differently; again is called with every row as it comes out.
//
// A run that was cut short, by a kill say, ends within reach of readings that its last
// rows were worked out with and that are not in it: these rows are counted apart.
func Compare(rows Rows, meta *runfile.Meta, again func(*frame.Frame)) (Comparison, error) {
	var c Comparison
	var differing []int  // rows near the end that differ
	var columns []string // of these the first that does
	var times []int64
	var was, is []byte
	lag := int64(meta.Setup.Motion.Lag)
	err := Rework(rows, &meta.Setup, func(recorded, fresh *frame.Frame) {
		c.Rows++
		was, is = runfile.AppendRow(was[:0], recorded), runfile.AppendRow(is[:0], fresh)
		if !bytes.Equal(was, is) {
			differing, times = append(differing, c.Rows), append(times, fresh.T)
			columns = append(columns, differs(was, is))
		}
		for len(times) > 0 && times[0] < fresh.T-lag || meta.Complete && len(times) > 0 {
			if c.Differing++; c.First == 0 {
				c.First, c.Column = differing[0], columns[0]
			}
			differing, columns, times = differing[1:], columns[1:], times[1:]
		}
		again(fresh)
	})
	c.Unfinished = len(differing)
	return c, err
}

// differs names the first column in which two rows are not alike.
func differs(was, is []byte) string {
	names := bytes.Split(bytes.TrimSpace(runfile.AppendHeader(nil)), []byte(","))
	a, b := bytes.Split(was, []byte(",")), bytes.Split(is, []byte(","))
	for i, name := range names {
		if i >= len(a) || i >= len(b) || !bytes.Equal(a[i], b[i]) {
			return string(name)
		}
	}
	return ""
}
