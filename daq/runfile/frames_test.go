package runfile

import (
	"math"
	"os"
	"testing"

	"go.uber.org/goleak"
	"pgregory.net/rapid"

	"joulewell/daq/frame"
	"joulewell/daq/wire"
	"joulewell/energy"
)

func TestMain(m *testing.M) {
	if dir := os.Getenv(writerDir); dir != "" {
		writeUntilKilled(dir)
	}
	goleak.VerifyTestMain(m)
}

// swing returns the i-th frame of a bob that swings, at a thousand readings a second.
func swing(i int) *frame.Frame {
	f := blank
	f.T = int64(i)*1_000_000 - 12_000_000
	f.Epoch = 1
	f.Reading.Seq, f.Reading.DeviceUs = uint32(i), uint32(5_210_034+1000*i)
	phase := float64(i) * 0.008
	x := 0.12 + 0.05*math.Cos(phase)
	f.Reading.Set(wire.EchoUs, math.Round(3171+290*math.Cos(phase)))
	f.Reading.Set(wire.LoadCounts, math.Round(-184223-40000*math.Cos(phase)))
	f.Reading.Set(wire.AirCentiC, 2140)
	f.Distance = energy.Estimate{Value: 0.5437 + 0.05*math.Cos(phase), U: math.NaN()}
	f.Force = energy.Estimate{Value: 24.9 * x, U: math.NaN()}
	f.Height = energy.Estimate{Value: 0.62 - x, U: math.NaN()}
	f.Extension = energy.Estimate{Value: x, U: math.NaN()}
	f.Velocity = energy.Estimate{Value: 0.4 * math.Sin(phase), U: math.NaN()}
	f.Energies = energy.Energies{
		Kinetic:       energy.Estimate{Value: 0.0207 * math.Pow(math.Sin(phase), 2), U: 0.0004},
		Elastic:       energy.Estimate{Value: 12.45 * x * x, U: 0.0011},
		Gravitational: energy.Estimate{Value: 2.49 * (0.62 - x), U: 0.0017},
		Total:         energy.Estimate{Value: 1.4313, U: 0.0009},
	}
	return &f
}

// anyFrame draws frames of all kinds, with any number that a column may hold.
var anyFrame = rapid.Custom(func(t *rapid.T) *frame.Frame {
	f := blank
	f.T = rapid.Int64().Draw(t, "T")
	f.Epoch = rapid.Uint32().Draw(t, "epoch")
	f.Reading.Seq = rapid.Uint32().Draw(t, "seq")
	f.Reading.DeviceUs = rapid.Uint32().Draw(t, "device_us")
	f.Flags = frame.Flags(rapid.Uint16Range(0, uint16(frame.NewEpoch)*2-1).Draw(t, "flags"))
	number := rapid.OneOf(rapid.Float64(), rapid.Float64Range(-10, 10),
		rapid.Map(rapid.Int32(), func(n int32) float64 { return float64(n) / 100 }),
		rapid.Map(rapid.Int32(), func(n int32) float64 { return float64(n) }))
	for c := wire.EchoUs; c < wire.ColumnCount; c++ {
		if rapid.Bool().Draw(t, "present") {
			f.Reading.Set(c, number.Draw(t, "raw"))
		}
	}
	for _, c := range columns {
		if c.Kind == frame.Derived && rapid.Bool().Draw(t, "present") {
			*derived[c.Name](&f) = number.Draw(t, c.Name)
		}
	}
	return &f
})

// sameRaw reports whether a and b hold the same key, flags and raw columns, bit for bit.
func sameRaw(a, b *frame.Frame) bool {
	if a.T != b.T || a.Epoch != b.Epoch || a.Flags != b.Flags ||
		a.Reading.Seq != b.Reading.Seq || a.Reading.DeviceUs != b.Reading.DeviceUs {
		return false
	}
	for c := wire.EchoUs; c < wire.ColumnCount; c++ {
		if a.Reading.Has(c) != b.Reading.Has(c) {
			return false
		}
		if a.Reading.Has(c) && math.Float64bits(a.Reading.Values[c]) != math.Float64bits(b.Reading.Values[c]) {
			return false
		}
	}
	return true
}

// table returns a run file's text with the first n frames of a swing.
func table(n int) []byte {
	text := AppendHeader(nil)
	for i := range n {
		text = AppendRow(text, swing(i))
	}
	return text
}

func openRoot(t testing.TB, dir string) *os.Root {
	t.Helper()
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { root.Close() })
	return root
}

func put(t testing.TB, dir *os.Root, name string, text []byte) {
	t.Helper()
	if err := dir.WriteFile(name, text, 0o644); err != nil {
		t.Fatal(err)
	}
}

func content(t testing.TB, dir *os.Root, name string) []byte {
	t.Helper()
	text, err := dir.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func exists(dir *os.Root, name string) bool {
	_, err := dir.Lstat(name)
	return err == nil
}
