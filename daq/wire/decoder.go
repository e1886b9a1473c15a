package wire

import "bytes"

// Options sets up a [Decoder].
type Options struct {
	// Fields names the columns until the device does; empty for a device that names
	// them itself.
	Fields []string
	// RequireChecksum refuses data lines without a checksum. A wrong one is refused
	// always.
	RequireChecksum bool
}

// Decoder makes readings of lines. It holds what the device said about itself, so
// each device needs its own. Nothing but a change of column names allocates.
type Decoder struct {
	start, now layout // as configured; in force
	require    bool
	counts     Counts
	last       Reason
	number     uint32 // of the next data line, for devices that have no seq
	virtual    bool
	note       [MaxLine]byte
	noteLen    int
}

// NewDecoder returns a decoder, or says which names of columns cannot be.
func NewDecoder(o Options) (*Decoder, error) {
	l, err := configured(o.Fields)
	if err != nil {
		return nil, err
	}
	return &Decoder{start: l, now: l, require: o.RequireChecksum}, nil
}

// Reset forgets what the device said, because it was opened again: the names of
// columns are the configured ones, and no note is known. Counts stay.
func (d *Decoder) Reset() {
	d.now = d.start
	d.number = 0
	d.virtual = false
	d.noteLen = 0
}

// Decode reads one line (without LF or CR LF). After [Data] *r holds the reading,
// after anything else nothing of use. The line is not kept.
//
// A device without seq gets one that counts its data lines from 0, refused ones
// too, so that a lost reading shows as a gap.
func (d *Decoder) Decode(line []byte, r *Reading) Outcome {
	switch {
	case len(line) == 0:
		return d.refuse(EmptyLine)
	case line[0] != '#':
		return d.data(line, r)
	case len(line) > MaxLine:
		return d.refuse(TooLong)
	case begins(line, fieldsWord):
		return d.fields(line)
	}
	d.takeNote(line)
	return Note
}

func (d *Decoder) data(line []byte, r *Reading) Outcome {
	*r = Reading{Seq: d.number}
	d.number++
	if len(line) > MaxLine {
		return d.refuse(TooLong)
	}
	body, sealed, why := unseal(line)
	switch {
	case why != NoReason:
		return d.refuse(why)
	case d.require && !sealed:
		return d.refuse(NoChecksum)
	case len(d.now.names) == 0:
		return d.refuse(NoFields)
	case bytes.Count(body, comma)+1 != len(d.now.names):
		return d.refuse(WrongColumnCount)
	}
	for i := range d.now.names {
		end := 0
		for end < len(body) && body[end] != ',' {
			end++
		}
		if why := r.take(d.now.column[i], body[:end]); why != NoReason {
			return d.refuse(why)
		}
		if end < len(body) {
			body = body[end+1:]
		}
	}
	d.counts.Accepted++
	return Data
}

var comma = []byte(",")

// take reads one value. Columns of unknown name may hold what they like; only
// numbers are kept.
func (r *Reading) take(c Column, field []byte) Reason {
	switch {
	case c == Seq || c == DeviceUs:
		n, why := parseStamp(field)
		if c == Seq {
			r.Seq = n
		} else {
			r.DeviceUs = n
		}
		r.Set(c, float64(n))
		return why
	case c == ignored || len(field) == 0:
		return NoReason
	}
	v, why := parseNumber(field)
	if why == NoReason {
		r.Set(c, v)
	}
	if c >= Other1 {
		return NoReason
	}
	return why
}

func (d *Decoder) refuse(why Reason) Outcome {
	d.counts.Refused[why]++
	d.last = why
	return Refused
}

// takeNote keeps a note with all that is not printable ASCII replaced.
func (d *Decoder) takeNote(line []byte) {
	d.counts.Notes++
	d.virtual = d.virtual || begins(line, virtualWord)
	d.noteLen = copy(d.note[:], line[1:])
	for i, c := range d.note[:d.noteLen] {
		if !printable(c) {
			d.note[i] = '?'
		}
	}
}

// Counts returns what became of all lines since the decoder was made.
func (d *Decoder) Counts() Counts { return d.counts }

// LastReason returns why the last refused line was refused.
func (d *Decoder) LastReason() Reason { return d.last }

// FieldNames returns the names of the columns in force, in the order of the line;
// none when they are not known. The slice must not be changed; it stays as it is
// when the device changes its columns.
func (d *Decoder) FieldNames() []string { return d.now.names }

// OtherNames returns what the device calls [Other1] to [Other4]; empty where unused.
func (d *Decoder) OtherNames() [4]string { return d.now.others }

// LastNote returns the text of the last note since Reset, without its #: printable
// ASCII, at most [MaxLine] bytes.
func (d *Decoder) LastNote() string { return string(d.note[:d.noteLen]) }

// Virtual reports whether the device has said since Reset that it is simulated.
func (d *Decoder) Virtual() bool { return d.virtual }
