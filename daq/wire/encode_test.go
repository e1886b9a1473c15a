package wire

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestAppendReading(t *testing.T) {
	r := reading(1042, 5210034, map[Column]float64{EchoUs: 3171, LoadCounts: -184223, AirCentiC: 2140})
	columns := []Column{Seq, DeviceUs, EchoUs, LoadCounts, AirCentiC}
	if got := string(AppendReading([]byte("kept "), columns, &r)); got != "kept "+sampleLine+"\n" {
		t.Errorf("got %q", got)
	}
	r = reading(7, 8, map[Column]float64{LoadN: -1.5, RangeMm: 1e-7, Other1: math.NaN(), Other2: math.Inf(-1), Other3: 2e15, Other4: 1e15})
	columns = []Column{DeviceUs, LoadN, RangeMm, Other1, Other2, Other3, Other4, EchoUs}
	if got, want := string(AppendReading(nil, columns, &r)), sealed("8,-1.5,1e-07,,,,1000000000000000,")+"\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestAppendFields(t *testing.T) {
	got := string(AppendFields(nil, sampleFields))
	if want := sealed("#fields seq,t_us,echo_us,load_counts,air_centi_C") + "\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	d := newDecoder(t, Options{})
	if d.Decode([]byte(got[:len(got)-1]), new(Reading)) != Fields {
		t.Errorf("refused: %s", d.LastReason())
	}
}

// Every value that a line can carry comes back as the same float64.
func TestNumberRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.OneOf(
			rapid.Float64Range(-MaxValue, MaxValue),
			rapid.Float64Range(-1, 1),
			rapid.Map(rapid.Int64Range(-1e15, 1e15), func(i int64) float64 { return float64(i) }),
			rapid.Map(rapid.Int64Range(-1e9, 1e9), func(i int64) float64 { return float64(i) / 1000 }),
		).Draw(t, "v")
		text := appendNumber(nil, v)
		got, why := parseNumber(text)
		if why != NoReason || got != v {
			t.Fatalf("%v is spelled %q and read as %v (%s)", v, text, got, why)
		}
	})
}
