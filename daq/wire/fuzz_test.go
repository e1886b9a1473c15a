package wire

import (
	"bytes"
	"strings"
	"testing"
)

// canon returns columns and names that give the layout of d again, without the
// columns that are not kept.
func canon(d *Decoder) (columns []Column, names []string) {
	next := Other1
	for _, n := range d.FieldNames() {
		c, known := ColumnByName(n)
		if !known {
			if next > Other4 {
				continue
			}
			c = next
			next++
		}
		columns, names = append(columns, c), append(names, n)
	}
	return columns, names
}

func FuzzDecode(f *testing.F) {
	for _, s := range []string{sampleLine, "1043,5222540,,-184301,*12", "#fields seq,t_us,echo_us,load_counts,air_centi_C",
		"#virtual bench Tamar", "", "1,2,3e-7,.5,1e14", "#fields t_us,tilt,lux", "*00", "#fields t_us,t_us", "1,2,nan,,*1"} {
		f.Add("seq,t_us,echo_us,load_counts,air_centi_C", s, false)
		f.Add("", s, true)
	}
	f.Add("t_us,a,b,c,d,e,load_N", "1,2,3,x,,5,-0.00", false)
	f.Fuzz(func(t *testing.T, fields, line string, require bool) {
		var names []string
		if fields != "" {
			names = strings.Split(fields, ",")
		}
		d, err := NewDecoder(Options{Fields: names, RequireChecksum: require})
		if err != nil {
			t.Skip()
		}
		var r Reading
		outcome := d.Decode([]byte(line), &r)
		counts := d.Counts()
		if counts.Lines() != 1 {
			t.Fatalf("one line counted as %+v", counts)
		}
		byOutcome := map[Outcome]uint64{Data: counts.Accepted, Fields: counts.FieldLines, Note: counts.Notes,
			Refused: counts.Refused[d.LastReason()]}
		if byOutcome[outcome] != 1 || (outcome == Refused) != (d.LastReason() != NoReason) {
			t.Fatalf("outcome %d, reason %s, counts %+v", outcome, d.LastReason(), counts)
		}
		switch outcome {
		case Note:
			for _, c := range []byte(d.LastNote()) {
				if !printable(c) {
					t.Fatalf("note %q is not printable", d.LastNote())
				}
			}
		case Fields:
			again := newDecoder(t, Options{})
			said := bytes.TrimSuffix(AppendFields(nil, d.FieldNames()), []byte("\n"))
			if len(said) <= MaxLine && (again.Decode(said, &r) != Fields || again.now.column != d.now.column) {
				t.Fatalf("names %q are not read back: %s", said, again.LastReason())
			}
		case Data:
			checkCanonical(t, d, &r)
		}
	})
}

// checkCanonical holds that an accepted reading survives encoding, and that its
// encoding is a fixed point.
func checkCanonical(t *testing.T, d *Decoder, r *Reading) {
	columns, names := canon(d)
	said := AppendReading(nil, columns, r)
	if len(said)-1 > MaxLine {
		return // allowed by AppendReading's comment
	}
	again := newDecoder(t, Options{Fields: names, RequireChecksum: true})
	var r2 Reading
	if again.Decode(said[:len(said)-1], &r2) != Data {
		t.Fatalf("canonical line %q refused: %s", said, again.LastReason())
	}
	if *r != r2 {
		t.Fatalf("canonical line %q\nreads %+v\n want %+v", said, r2, *r)
	}
	if twice := AppendReading(nil, columns, &r2); !bytes.Equal(twice, said) {
		t.Fatalf("encoded twice: %q, then %q", said, twice)
	}
}

func FuzzSplit(f *testing.F) {
	f.Add([]byte(sampleLine+"\n#fields t_us\r\n\n"), []byte{3, 7, 1}, true)
	f.Add([]byte(strings.Repeat("x", 600)+"\nab\r\r\nc"), []byte{255, 2, 255, 1}, false)
	f.Fuzz(func(t *testing.T, stream, cuts []byte, afterOpen bool) {
		var s Splitter
		if afterOpen {
			s.Reset()
		}
		var chunks [][]byte
		rest := stream
		for _, c := range cuts {
			n := min(int(c), len(rest))
			chunks = append(chunks, rest[:n])
			rest = rest[n:]
		}
		got, want := drain(&s, append(chunks, rest)...), plainLines(stream, afterOpen)
		if !equalLines(got, want) {
			t.Fatalf("got  %+v\nwant %+v", got, want)
		}
	})
}
