package source

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
)

// A recording is a text file that keeps what a source delivered, byte for byte, with
// arrival times:
//
//	#joulewell-recording 1 device
//	0<TAB>opened<TAB>/dev/ttyUSB0
//	2400000<TAB>bytes<TAB>#fields seq,t_us,echo_us\n
//	7900000<TAB>bytes<TAB>1,5000,3
//	8100000<TAB>bytes<TAB>171*3F\n
//	9000000000<TAB>lost<TAB>the device hung up
//
// The first line says the version, and "device" or "virtual". Each other line holds
// the arrival time in nanoseconds of the recording host's clock, what happened and
// its text: the name opened, the bytes, the cause. In the text \\ \n \r \t and \xHH
// stand for bytes; all but printable ASCII is written so.
const (
	recordingDevice  = "#joulewell-recording 1 device"
	recordingVirtual = "#joulewell-recording 1 virtual"
)

var recordedWords = map[Kind]string{Opened: "opened", Bytes: "bytes", Lost: "lost"}

// Recording plays a recording, both as a [Source] and as a [Player] (the bytes only).
// It is read once, from front to back.
type Recording struct {
	lines   *bufio.Scanner
	line    int // number of the last line read
	virtual bool
	opts    PlayOptions
	err     error // why Next stopped early
}

// NewRecording reads the head of r and refuses anything that is no recording.
func NewRecording(r io.Reader, o PlayOptions) (*Recording, error) {
	lines := bufio.NewScanner(r)
	lines.Buffer(nil, 1<<20)
	lines.Split(wholeLines)
	rec := &Recording{lines: lines, line: 1, opts: o}
	lines.Scan()
	switch head := lines.Text(); head {
	case recordingDevice:
	case recordingVirtual:
		rec.virtual = true
	default:
		return nil, fmt.Errorf("read recording: line 1 is %.40q: want %q or %q", head, recordingDevice, recordingVirtual)
	}
	return rec, nil
}

// Describe implements [Source].
func (r *Recording) Describe() string { return r.opts.Name }

// Virtual implements [Source]: what it was recorded from.
func (r *Recording) Virtual() bool { return r.virtual }

// Run implements [Source]. A damaged file is played up to the damage; then Ended says
// where it is.
func (r *Recording) Run(ctx context.Context, emit func(Event) bool) {
	pace := newPace(r.opts)
	var last time.Duration
	for ctx.Err() == nil {
		e, err := r.event()
		if err != nil {
			if errors.Is(err, io.EOF) {
				err = nil
			}
			emit(Event{Kind: Ended, At: pace.now(int64(last)), Err: err})
			return
		}
		last = e.At
		arrival, ok := pace.until(ctx, int64(e.At))
		e.At = arrival
		if !ok || !emit(e) {
			return
		}
	}
}

// Next implements [Player]. After ok is false, [Recording.Err] tells a damaged file
// from a finished one.
func (r *Recording) Next() (chunk []byte, at int64, ok bool) {
	for {
		e, err := r.event()
		if err != nil {
			if !errors.Is(err, io.EOF) {
				r.err = err
			}
			return nil, 0, false
		}
		if e.Kind == Bytes {
			return e.Bytes, int64(e.At), true
		}
	}
}

// Err returns why Next stopped before the end, or nil.
func (r *Recording) Err() error { return r.err }

// event reads the next line; io.EOF at the end.
func (r *Recording) event() (Event, error) {
	if !r.lines.Scan() {
		if err := r.lines.Err(); err != nil {
			return Event{}, fmt.Errorf("read recording: line %d: %w", r.line+1, err)
		}
		return Event{}, io.EOF
	}
	r.line++
	e, err := parseRecorded(r.lines.Text())
	if err != nil {
		return Event{}, fmt.Errorf("read recording: line %d: %w", r.line, err)
	}
	return e, nil
}

func parseRecorded(line string) (Event, error) {
	parts := strings.Split(line, "\t")
	if len(parts) != 3 {
		return Event{}, fmt.Errorf("%d fields: want time, event and text, with one tab between", len(parts))
	}
	at, err := strconv.ParseInt(parts[0], 10, 64)
	if err != nil {
		return Event{}, fmt.Errorf("time %q: want whole nanoseconds", parts[0])
	}
	text, err := unescape(parts[2])
	if err != nil {
		return Event{}, err
	}
	e := Event{At: time.Duration(at)}
	switch parts[1] {
	case recordedWords[Opened]:
		e.Kind, e.Name = Opened, string(text)
	case recordedWords[Bytes]:
		e.Kind, e.Bytes = Bytes, text
	case recordedWords[Lost]:
		e.Kind, e.Err = Lost, errors.New(string(text))
	default:
		return Event{}, fmt.Errorf("event %q: want opened, bytes or lost", parts[1])
	}
	return e, nil
}

// wholeLines splits at line feeds like bufio.ScanLines, but refuses a last line that
// was cut off: half a chunk would pass for a device that stopped in mid-line.
func wholeLines(data []byte, atEOF bool) (advance int, token []byte, err error) {
	advance, token, err = bufio.ScanLines(data, atEOF)
	if err == nil && token != nil && data[advance-1] != '\n' {
		return 0, nil, errors.New("the file ends in mid-line: it was cut off while it was written")
	}
	return advance, token, err
}
