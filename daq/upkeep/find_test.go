package upkeep

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"joulewell/energy"
)

func cabinet(t *testing.T) *Cabinet {
	t.Helper()
	f := severn(t)
	pieces, err := parsePieces(strings.NewReader("piece,mass_g,mass_u_g,material,compared_with\nA,100.02,0.02,brass,set\nB,200.01,0.03,brass,set\nC,49.99,0.02,,\n"))
	if err != nil {
		t.Fatal(err)
	}
	c, err := NewCabinet(&f, pieces)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// write puts a file of points on the disk and reads it.
func table(t *testing.T, k Kind, text string) Table {
	t.Helper()
	path := filepath.Join(t.TempDir(), "points.csv")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	got, err := ReadTable(path, k)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// A cell of which everything is known is found again from a file of points, and the
// bench that goes by the finding turns the counts into the forces that hung.
func TestForceFromPoints(t *testing.T) {
	f, c := severn(t), cabinet(t)
	rng := rand.New(rand.NewPCG(21, 1))
	const zero, span = -18230.0, 1.204e-5
	counts := func(load []string) float64 {
		n, err := c.set.Force(load)
		if err != nil {
			t.Fatal(err)
		}
		return zero + n/span + 20*rng.NormFloat64()
	}
	var text strings.Builder
	text.WriteString("load_g,reading_counts,reading_u_counts,time_s\n")
	for i, load := range []string{"", "A", "B", "A + B", "A + B + 150.00 +- 0.02 g", "A + B", "B", "A", ""} {
		names, err := c.load(strings.ReplaceAll(load, "150.00 +- 0.02 g", "150.00 +- 0.02 g"))
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&text, "%s,%.0f,20,%d\n", load, counts(names), 60*i)
	}
	points := table(t, Force, text.String())
	found, err := points.Find(&f, c)
	if err != nil {
		t.Fatal(err)
	}
	laid, err := f.Lay(found.AsLeft)
	if err != nil {
		t.Fatal(err)
	}
	for _, load := range [][]string{{"A"}, {"A", "B"}} {
		want, _ := c.set.Force(load)
		got := laid.Bench.Calibration.Force.Newtons(zero + want/span)
		if off := got.Value - want; math.Abs(off) > 3*got.U || !(got.U > 0 && got.U < 2e-3) {
			t.Errorf("force of %v = %g N, want %g N, u %g", load, got.Value, want, got.U)
		}
	}
	if len(found.Residuals) != 9 || !strings.Contains(found.Summary, "this earns no class") {
		t.Errorf("finding %+v", found)
	}
	e := points.Entry(found, &f)
	e.Date = on("2026-11-25")
	path := filepath.Join(t.TempDir(), "calibration.toml")
	if err := Add(path, e); err != nil {
		t.Fatal(err)
	}
	book, err := Load(path)
	if err != nil || len(book[0].Points) != 9 || book[0].AsFound["force_span_N_per_count"] != 1.204e-5 {
		t.Errorf("book %+v, %v", book, err)
	}
}

// A hold under the largest load shows the creep; its moments are no readings.
func TestCreepFromAHold(t *testing.T) {
	f, c := severn(t), cabinet(t)
	const zero, span = -18230.0, 1.204e-5
	var text strings.Builder
	text.WriteString("load_g,reading_counts,reading_u_counts,hold_s\n")
	for _, load := range []string{"", "A", "B", "A + B"} {
		names, _ := c.load(load)
		n, _ := c.set.Force(names)
		fmt.Fprintf(&text, "%s,%.0f,5,\n", load, zero+n/span)
	}
	names, _ := c.load("A + B")
	n, _ := c.set.Force(names)
	for _, at := range []float64{5, 26, 30, 34, 120, 292, 296, 300} {
		fmt.Fprintf(&text, "A + B,%.0f,5,%g\n", zero+n/span+at, at) // a count a second
	}
	fmt.Fprintf(&text, ",%.0f,5,\n", zero)
	points := table(t, Force, text.String())
	found, err := points.Find(&f, c)
	if err != nil {
		t.Fatal(err)
	}
	var creep *Figure
	for i := range found.Figures {
		if found.Figures[i].Name == "creep" {
			creep = &found.Figures[i]
		}
	}
	if creep == nil || math.Abs(creep.Value-266*span) > 2*span {
		t.Errorf("creep %+v, want %g N from 30 s to 300 s", creep, 266*span)
	}
	if n := len(found.Residuals); n != 5 || found.Residuals[4].Point != 12 {
		t.Errorf("residuals %+v, want those of the five readings", found.Residuals)
	}
}

func TestDistanceFromPoints(t *testing.T) {
	f := severn(t)
	rng := rand.New(rand.NewPCG(22, 1))
	const offset, scale = 0.0213, 1.0035
	var text strings.Builder
	text.WriteString("height_mm;reading_mm;reading_u_mm\n")
	for _, h := range []float64{120, 240, 360, 480, 600, 720} {
		fmt.Fprintf(&text, "%.0f;%s;0,1\n", h, strings.Replace(fmt.Sprintf("%.2f", (h-1e3*offset)/scale+0.1*rng.NormFloat64()), ".", ",", 1))
	}
	points := table(t, Distance, text.String())
	found, err := points.Find(&f, cabinet(t))
	if err != nil {
		t.Fatal(err)
	}
	laid, err := f.Lay(found.AsLeft)
	if err != nil {
		t.Fatal(err)
	}
	d := &laid.Bench.Calibration.Distance
	for _, h := range []float64{0.15, 0.4, 0.7} {
		distance := d.Range((h - offset) / scale * 1e3)
		u := d.Common(distance.Value, 0)
		if off := d.Height(distance.Value) - h; math.Abs(off) > 3*u || !(u > 0 && u < 1e-3) {
			t.Errorf("height %g m comes out %g m off, u %g", h, off, u)
		}
	}
	// In the middle of the places the height is surer than at the ends, and than the offset
	// by itself.
	if middle, end := d.Common(0.40, 0), d.Common(0.75, 0); !(middle < end) || !(middle <= 1.001*d.Offset.U+1e-6) {
		t.Errorf("u in the middle %g, at the end %g, of the offset %g", middle, end, d.Offset.U)
	}
}

// Lengths and periods of one spring in one file: both ways come out, and agree.
func TestSpringFromPoints(t *testing.T) {
	f, c := severn(t), cabinet(t)
	rng := rand.New(rand.NewPCG(23, 1))
	a := f.Bench.Apparatus
	const k, tension = 24.9, 0.06
	a.Spring.Rate, a.Spring.InitialTension = energy.Estimate{Value: k}, energy.Estimate{Value: tension}
	var text strings.Builder
	text.WriteString("load_g,length_mm,period_s\n")
	for _, load := range []string{"A", "B", "A + B", "A + B + C", "A + B", "B", "A"} {
		names, err := c.load(load)
		if err != nil {
			t.Fatal(err)
		}
		force, _ := c.set.Force(names)
		a.Bob.Mass.Value = force / a.Gravity.Value
		length := a.Spring.NaturalLength.Value + a.Equilibrium() + 2e-4*rng.NormFloat64()
		fmt.Fprintf(&text, "%s,%.1f mm +- 0.3 mm,\n", load, 1e3*length)
	}
	for _, load := range []string{"B", "A + B"} {
		names, _ := c.load(load)
		m, _ := c.set.Mass(names)
		period := 2 * math.Pi * math.Sqrt((m+a.Spring.Mass.Value*0.334)/k)
		fmt.Fprintf(&text, "%s,,%.4f s +- 0.3 ms\n", load, period)
	}
	points := table(t, Spring, text.String())
	found, err := points.Find(&f, c)
	if err != nil {
		t.Fatal(err)
	}
	laid, err := f.Lay(found.AsLeft)
	if err != nil {
		t.Fatal(err)
	}
	s := &laid.Bench.Apparatus.Spring
	if off := s.Rate.Value - k; math.Abs(off) > 3*s.Rate.U || !(s.Rate.U > 0 && s.Rate.U < 0.2) {
		t.Errorf("rate %g N/m, u %g, want %g", s.Rate.Value, s.Rate.U, k)
	}
	if off := s.InitialTension.Value - tension; math.Abs(off) > 3*s.InitialTension.U || s.RateTension == 0 {
		t.Errorf("tension %+v, correlation %g, want %g N", s.InitialTension, s.RateTension, tension)
	}
	var byPeriod, agreement bool
	for _, q := range found.Figures {
		byPeriod = byPeriod || strings.HasPrefix(q.Name, "rate by ") && math.Abs(q.Value-k) < 4*q.U
		agreement = agreement || strings.HasPrefix(q.Name, "E_n") && math.Abs(q.Value) <= 1
	}
	if !byPeriod || !agreement {
		t.Errorf("figures %+v", found.Figures)
	}
}

func TestPointsRefused(t *testing.T) {
	f, c := severn(t), cabinet(t)
	for _, x := range []struct {
		name string
		kind Kind
		text string
		want string
	}{
		{"empty", Force, "", "nothing in it"},
		{"unknown column", Force, "load_g,counts\n1,2\n", `column "counts" is unknown or doubled`},
		{"missing column", Force, "reading_counts\n1\n", "column load_g is missing"},
		{"no number", Force, "load_g,reading_counts\n100,many\n", `line 2: reading_counts = "many": must be a number`},
		{"mixed units", Force, "load_g,reading_counts,reading_N\n100,5,\n200,,5\n", "line 3: readings in"},
		{"no reading", Force, "load_g,reading_counts\n100,\n", "line 2: no reading"},
		{"no mass", Force, "load_g,reading_counts\n,1\nthe red one,500\n", "there is no check mass called so"},
		{"single load", Force, "load_g,reading_counts\n,1\nA,50000\nA,50001\n", "too few readings"},
		{"grams as kilograms", Force, "load_g,reading_counts\n,0\n100 kg,83000\n200 kg,166000\n", "is the unit right?"},
		{"length and period", Spring, "load_g,length_mm,period_s\n100,150,0.5\n", "a length or a period"},
		{"two places", Distance, "height_mm,reading_mm\n100,80\n200,180\n", "too few readings"},
		{"timing", Timing, "load_g\n1\n", "not calibrated from points"},
	} {
		t.Run(x.name, func(t *testing.T) {
			points, err := parseTable(strings.NewReader(x.text), x.kind)
			if err == nil {
				_, err = points.Find(&f, c)
			}
			if err == nil || !strings.Contains(err.Error(), x.want) {
				t.Errorf("%v, want a refusal saying %q", err, x.want)
			}
		})
	}
}
