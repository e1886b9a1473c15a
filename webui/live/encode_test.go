package live

import (
	"encoding/json"
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"joulewell/daq/frame"
	"joulewell/energy"
)

func spansOf(frames ...frame.Frame) [][]entry {
	var tape tape
	r := newReader(&tape)
	tape.write(frames, 42)
	var spans [][]entry
	for span, _ := r.read(); span != nil; span, _ = r.read() {
		spans = append(spans, span)
	}
	return spans
}

func mustQuery(t testing.TB, channels string) Subscription {
	t.Helper()
	set, err := parseChannels(channels)
	if err != nil {
		t.Fatal(err)
	}
	return Subscription{rate: EveryReading, channels: set}
}

func TestMessageText(t *testing.T) {
	a, b := testFrame(3), testFrame(5)
	b.Flags = frame.Gap | frame.NoEcho
	a.T = -1
	b.Height.Value = math.Inf(1)
	e := newEncoder(mustQuery(t, "velocity_m_s,height_m,force_N").columns())
	m := e.message(spansOf(a, b))
	want := `{"v":1,"type":"frames","lost":0,"seq":42,"n":2,"t_s":[-0.000000001,0.005000015],` +
		`"flags":["","gap no-echo"],"force_N":[2.003000,null],"height_m":[0.410300,null],"velocity_m_s":[-0.003000,-0.005000]}`
	if string(m.data) != want {
		t.Errorf("message\n%s\nwant\n%s", m.data, want)
	}
	if m.seq != 42 || m.frames != 2 {
		t.Errorf("seq %d with %d frames, want 42 with 2", m.seq, m.frames)
	}
}

func TestMessageWithoutFrames(t *testing.T) {
	m := newEncoder(mustQuery(t, "height_m").columns()).message(spansOf())
	if want := `{"v":1,"type":"frames","lost":0,"seq":42,"n":0,"t_s":[],"height_m":[]}`; string(m.data) != want {
		t.Errorf("message %s, want %s", m.data, want)
	}
}

// Every column of every frame comes back from a general JSON reader at the printed
// digits, and absent values as null.
func TestMessageReadsBack(t *testing.T) {
	var frames []frame.Frame
	for i := range 200 {
		frames = append(frames, testFrame(i))
	}
	frames[7].Energies = energy.NoEnergies()
	e := newEncoder(Subscription{channels: derivedColumns()}.columns())
	var m map[string]any
	if err := json.Unmarshal(e.message(spansOf(frames...)).data, &m); err != nil {
		t.Fatal(err)
	}
	for _, c := range frame.Columns() {
		list, ok := m[c.Name].([]any)
		if ok != (c.Kind == frame.Derived) {
			t.Fatalf("column %s: present %v", c.Name, ok)
		}
		for i, v := range list {
			want := c.Of(&frames[i])
			if math.IsNaN(want) {
				if v != nil {
					t.Errorf("%s[%d] = %v, want null", c.Name, i, v)
				}
			} else if !near(v.(float64), want, 0.5000001*math.Pow(10, -float64(c.Decimals))) {
				t.Errorf("%s[%d] = %v, want %v", c.Name, i, v, want)
			}
		}
	}
}

// strconv is the other make to compare with: the same digits.
func TestNumberAgainstStrconv(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.OneOf(rapid.Float64(), rapid.Float64Range(-10, 10), rapid.Float64Range(-1e6, 1e6)).Draw(t, "v")
		d := rapid.IntRange(0, 9).Draw(t, "decimals")
		text := string(appendNumber(nil, v, d))
		if !json.Valid([]byte(text)) {
			t.Fatalf("%v prints as %q, which is not JSON", v, text)
		}
		if want := strconv.FormatFloat(v, 'f', d, 64); math.Abs(v) < 1<<53 && text != want {
			t.Fatalf("%v with %d decimals prints as %s, want %s", v, d, text, want)
		}
	})
	for _, c := range []struct {
		v    float64
		d    int
		want string
	}{
		{0, 6, "0.000000"}, {math.Copysign(0, -1), 3, "-0.000"}, {-0.0000004, 6, "-0.000000"}, {12, 0, "12"},
		{0.05, 2, "0.05"}, {-1.5, 3, "-1.500"}, {1e300, 6, "1e+300"}, {math.NaN(), 6, "null"}, {math.Inf(-1), -1, "null"},
		{-184223, -1, "-184223"}, {1.25, -1, "1.25"}, {1e15, -1, "1000000000000000"}, {1e300, -1, "1e+300"},
	} {
		if got := string(appendNumber(nil, c.v, c.d)); got != c.want {
			t.Errorf("%v with %d decimals prints as %s, want %s", c.v, c.d, got, c.want)
		}
	}
}

func TestEncoderAllocatesTheMessageOnly(t *testing.T) {
	e := newEncoder(Subscription{channels: derivedColumns()}.columns())
	spans := spansOf(testFrame(1), testFrame(2), testFrame(3))
	e.message(spans)
	if n := testing.AllocsPerRun(100, func() { e.message(spans) }); n > 2 {
		t.Errorf("%v allocations for a message, want its struct and its bytes", n)
	}
}
