package source

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"
)

// Recorder is a source that writes down what another one delivers; see [Recording]
// for the format.
type Recorder struct {
	Source
	w   io.Writer
	err error
}

// RecordTo returns s with all that it delivers written to w as it passes. Each event
// is one call of w.Write, so that a killed process leaves whole lines. Trouble with
// w ends the recording, not the source.
func RecordTo(w io.Writer, s Source) *Recorder { return &Recorder{Source: s, w: w} }

// Run implements [Source].
func (r *Recorder) Run(ctx context.Context, emit func(Event) bool) {
	head := recordingDevice
	if r.Source.Virtual() {
		head = recordingVirtual
	}
	r.write([]byte(head + "\n"))
	var line []byte
	r.Source.Run(ctx, func(e Event) bool {
		line = appendRecorded(line[:0], e)
		switch {
		case len(line) > 0:
			r.write(line)
		case e.Kind == Timed && r.err == nil:
			r.err = errors.New("write recording: the source delivers readings of a run, not bytes: copy the run file instead")
		}
		return emit(e)
	})
}

// Err returns what ended the recording early, or nil. Call it after Run.
func (r *Recorder) Err() error { return r.err }

func (r *Recorder) write(line []byte) {
	if r.err != nil {
		return
	}
	if _, err := r.w.Write(line); err != nil {
		r.err = fmt.Errorf("write recording: %w: it ends before this event", err)
	}
}

// appendRecorded appends the line of e, or nothing if such events are not kept.
func appendRecorded(dst []byte, e Event) []byte {
	var text []byte
	switch e.Kind {
	case Opened:
		text = []byte(e.Name)
	case Bytes:
		text = e.Bytes
	case Lost:
		text = []byte(e.Err.Error())
	default:
		return dst
	}
	dst = strconv.AppendInt(dst, int64(e.At), 10)
	dst = append(dst, '\t')
	dst = append(dst, recordedWords[e.Kind]...)
	dst = append(dst, '\t')
	dst = appendEscaped(dst, text)
	return append(dst, '\n')
}
