package runfile

import (
	"bytes"
	"encoding/csv"
	"math"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"joulewell/daq/frame"
	"joulewell/daq/wire"
)

// fields reads text as any RFC 4180 reader does.
func fields(t interface{ Fatal(...any) }, text []byte) [][]string {
	records, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return records
}

func TestHeader(t *testing.T) {
	want := []string{"time_s", "epoch", "seq", "device_us"}
	for _, c := range frame.Columns() {
		want = append(want, c.Name)
	}
	want = append(want, "flags")
	if got := fields(t, AppendHeader(nil)); len(got) != 1 || !slices.Equal(got[0], want) {
		t.Fatalf("header %q, want %q", got, want)
	}
}

func TestRow(t *testing.T) {
	f := swing(0)
	f.Flags = frame.Gap | frame.NewEpoch
	got := fields(t, AppendRow(AppendHeader(nil), f))
	row := map[string]string{}
	for i, name := range got[0] {
		row[name] = got[1][i]
	}
	for name, want := range map[string]string{
		"time_s": "-0.012000000", "epoch": "1", "seq": "0", "device_us": "5210034",
		"raw_echo_us": "3461", "raw_load_counts": "-224223", "raw_air_centi_C": "2140", "raw_range_mm": "",
		"distance_m": "0.593700", "kinetic_J": "0.0000000", "u_total_J": "0.0009000", "flags": "gap new-epoch",
	} {
		if row[name] != want {
			t.Errorf("%s = %q, want %q", name, row[name], want)
		}
	}
}

// Every field is what strconv makes of the column's number, and absent ones are empty.
func TestRowAgainstStrconv(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := anyFrame.Draw(t, "f")
		row := fields(t, AppendRow(nil, f))[0]
		for i, c := range columns {
			got, v := row[4+i], c.Of(f)
			switch {
			case math.IsNaN(v):
				if got != "" {
					t.Fatalf("%s = %q where there is nothing", c.Name, got)
				}
			case c.Decimals >= 0:
				if want := strconv.FormatFloat(v, 'f', c.Decimals, 64); got != want {
					t.Fatalf("%s = %q, want %q", c.Name, got, want)
				}
			default:
				if back, err := strconv.ParseFloat(got, 64); err != nil || math.Float64bits(back) != math.Float64bits(v) {
					t.Fatalf("%s = %q for %x", c.Name, got, v)
				}
			}
		}
	})
}

func TestInfinityIsEmpty(t *testing.T) {
	f := swing(3)
	f.Energies.Kinetic.Value = math.Inf(1)
	row := fields(t, AppendRow(AppendHeader(nil), f))
	if got := row[1][slices.Index(row[0], "kinetic_J")]; got != "" {
		t.Errorf("kinetic_J = %q, want an empty field", got)
	}
}

// What is read back is the frame: raw columns bit for bit, derived ones at the
// digits printed, so that writing it again gives the same line.
func TestRowRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := anyFrame.Draw(t, "f")
		text := AppendRow(AppendHeader(nil), f)
		r, err := NewReader("run.csv", bytes.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		var back frame.Frame
		if err := r.Next(&back); err != nil {
			t.Fatal(err)
		}
		if !sameRaw(f, &back) {
			t.Fatalf("raw columns changed:\n%+v\n%+v", f, back)
		}
		if again := AppendRow(AppendHeader(nil), &back); !bytes.Equal(text, again) {
			t.Fatalf("written again:\n%s\nat first:\n%s", again, text)
		}
	})
}

func TestAppendRowAllocatesNothing(t *testing.T) {
	f := swing(7)
	f.Reading.Set(wire.RangeMm, 312.5)
	buf := make([]byte, 0, 4096)
	if n := testing.AllocsPerRun(100, func() { buf = AppendRow(buf[:0], f) }); n != 0 {
		t.Errorf("%g allocations a row", n)
	}
}
