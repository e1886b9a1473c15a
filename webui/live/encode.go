package live

import (
	"math"
	"strconv"

	"joulewell/daq/decimal"
	"joulewell/daq/frame"
	"joulewell/daq/series"
)

// A frames message begins with what differs between viewers, so that all the rest is
// encoded once: framesHead, the number of readings this viewer lost, the shared rest.
const framesHead = `{"v":1,"type":"frames","lost":`

// message is a frames message as all viewers with one subscription share it.
type message struct {
	data    []byte // from framesHead to the end, with "lost":0; never written to again
	seq     uint32 // [1] of the newest reading
	frames  uint64 // [1] frames inside
	skipped uint64 // [1] frames that no viewer of this subscription could be given before it
}

// encoder turns spans of the tape into messages. It keeps its buffers; only the
// finished message is allocated.
type encoder struct {
	columns []encodedColumn
	trials  func() series.Brief // whose seal withholds columns; nil = none
	buf     []byte
}

type encodedColumn struct {
	frame.Column
	head string // ,"height_m":[
}

func newEncoder(columns []frame.Column) *encoder {
	e := &encoder{}
	for _, c := range columns {
		e.columns = append(e.columns, encodedColumn{c, `,"` + c.Name + `":[`})
	}
	return e
}

// message encodes the entries of spans, of which there is at least one.
func (e *encoder) message(spans [][]entry) *message {
	m := &message{}
	var flags frame.Flags
	for _, span := range spans {
		for i := range span {
			if span[i].filled {
				m.frames++
				flags |= span[i].frame.Flags
			}
		}
	}
	final := spans[len(spans)-1]
	m.seq = final[len(final)-1].newest

	b := append(e.buf[:0], framesHead...)
	b = append(b, `0,"seq":`...)
	b = strconv.AppendUint(b, uint64(m.seq), 10)
	b = append(b, `,"n":`...)
	b = strconv.AppendUint(b, m.frames, 10)
	b = appendList(b, `,"t_s":[`, spans, func(b []byte, f *frame.Frame) []byte { return decimal.AppendSeconds(b, f.T) })
	if flags != 0 {
		b = appendList(b, `,"flags":[`, spans, appendFlags)
	}
	trials := series.Brief{}
	if e.trials != nil {
		trials = e.trials()
	}
	for i := range e.columns {
		c := &e.columns[i]
		if trials.Withholds(&c.Column) {
			b = appendList(b, c.head, spans, func(b []byte, _ *frame.Frame) []byte { return append(b, "null"...) })
			continue
		}
		b = appendList(b, c.head, spans, func(b []byte, f *frame.Frame) []byte { return appendNumber(b, c.Of(f), c.Decimals) })
	}
	b = append(b, '}')
	e.buf = b
	m.data = append([]byte(nil), b...)
	return m
}

func appendList(b []byte, head string, spans [][]entry, item func([]byte, *frame.Frame) []byte) []byte {
	b = append(b, head...)
	first := true
	for _, span := range spans {
		for i := range span {
			if !span[i].filled {
				continue
			}
			if !first {
				b = append(b, ',')
			}
			first = false
			b = item(b, &span[i].frame)
		}
	}
	return append(b, ']')
}

func appendFlags(b []byte, f *frame.Frame) []byte {
	b = append(b, '"')
	b = f.Flags.Words(b)
	return append(b, '"')
}

// appendNumber writes v with so many decimals, or in the shortest form that reads back
// as v when decimals is negative or v is beyond whole numbers. What is not finite
// becomes null: one NaN would spoil the message for every reader.
func appendNumber(b []byte, v float64, decimals int) []byte {
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return append(b, "null"...)
	case decimals < 0 || math.Abs(v) >= 1<<53:
		return decimal.AppendShortest(b, v)
	}
	return decimal.AppendFixed(b, v, decimals)
}
