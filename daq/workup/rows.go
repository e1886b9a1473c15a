package workup

import (
	"context"
	"fmt"
	"io"

	"joulewell/daq/analysis"
	"joulewell/daq/frame"
)

// watched counts the rows that pass, holds them where they are wanted again, and ends
// with ctx.
type watched struct {
	ctx   context.Context
	rows  analysis.Rows
	most  int // 0 = no bound
	hold  bool
	count int
	held  []frame.Frame
}

func (w *watched) Next(f *frame.Frame) error {
	const often = 4096
	if w.count%often == 0 {
		if err := w.ctx.Err(); err != nil {
			return err
		}
	}
	if err := w.rows.Next(f); err != nil {
		return err
	}
	w.count++
	if w.most > 0 && w.count > w.most {
		return fmt.Errorf("%w: more than %d rows, and its metadata file says fewer", ErrLong, w.most)
	}
	switch {
	case !w.hold:
	case w.count > mostJudged: // the metadata file is wrong about them
		w.hold, w.held = false, nil
	default:
		w.held = append(w.held, *f)
	}
	return nil
}

// list hands rows out one by one.
type list struct{ left []frame.Frame }

func (l *list) Next(f *frame.Frame) error {
	if len(l.left) == 0 {
		return io.EOF
	}
	*f, l.left = l.left[0], l.left[1:]
	return nil
}
