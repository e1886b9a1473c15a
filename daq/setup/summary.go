package setup

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"joulewell/energy"
)

// Summary says in a few lines what a bench file means, for a person to compare with
// the bench before them.
func (f *File) Summary() string {
	var s strings.Builder
	a := &f.Bench.Apparatus
	line := func(name string, e energy.Estimate, factor float64, unit string) {
		fmt.Fprintf(&s, "  %-22s %10.5g %-9s  u %.2g\n", name, e.Value*factor, unit, e.U*factor)
	}
	fmt.Fprintf(&s, "bench %s: spring %s, bob %s\n", f.Bench.Name, cmp.Or(f.Bench.SpringLabel, "-"), cmp.Or(f.Bench.BobLabel, "-"))
	line("bob mass", a.Bob.Mass, 1e3, "g")
	line("bob length", a.Bob.Length, 1e3, "mm")
	line("spring mass", a.Spring.Mass, 1e3, "g")
	line("spring natural length", a.Spring.NaturalLength, 1e3, "mm")
	line("spring rate", a.Spring.Rate, 1, "N/m")
	line("initial tension", a.Spring.InitialTension, 1, "N")
	if d := a.Spring.Departure; d != nil {
		fmt.Fprintf(&s, "  the spring departs from that line by %.2g to %.2g N between %.0f and %.0f mm of extension\n",
			slices.Min(d.Force), slices.Max(d.Force), 1e3*d.Extension[0], 1e3*d.Extension[len(d.Extension)-1])
	}
	line("support height", a.Support, 1e3, "mm")
	line("gravity", a.Gravity, 1, "m/s2")
	f.summarizeSensors(&s, line)
	at := a.Height(a.Equilibrium())
	fmt.Fprintf(&s, "  the bob hangs at rest %.0f mm above the floor, the spring %.0f mm extended\n",
		1e3*at, 1e3*a.Equilibrium())
	if at < 0 {
		s.WriteString("  CAUTION: that is below the floor: raise the support\n")
	}
	f.cautions(&s)
	f.leftOut(&s)
	fmt.Fprintf(&s, "device on %s at %d bit/s; web server on %s; runs in %s\n", f.Device.Port, f.Device.Baud, f.Listen, f.Data)
	return s.String()
}

// summarizeSensors says what the sensors' keys mean.
func (f *File) summarizeSensors(s *strings.Builder, line func(string, energy.Estimate, float64, string)) {
	d, l := &f.Bench.Calibration.Distance, &f.Bench.Calibration.Force
	line("distance scale", d.Scale, 1, "")
	line("distance offset", d.Offset, 1e3, "mm")
	line("distance delay", d.Delay, 1e3, "ms")
	fmt.Fprintf(s, "  distance looks from the %s, noise %.3g mm, sees %.0f to %.0f mm\n", d.Mounting, 1e3*d.Noise, 1e3*d.Min, 1e3*d.Max)
	line("force zero", l.Zero, 1, "counts")
	line("force span", l.Span, 1e6, "µN/count")
	line("force delay", l.Delay, 1e3, "ms")
	line("air", f.Bench.Calibration.Air.Temperature, 1, "°C")
}

// leftOut says what counts in place of the numbers that the file does not give.
func (f *File) leftOut(s *strings.Builder) {
	values := f.Pick(f.LeftOut...)
	for i, key := range f.LeftOut {
		if i == 0 {
			s.WriteString("  not in the bench file, and taken as:\n")
		}
		fmt.Fprintf(s, "    %s = %.5g\n", key, values[key])
	}
}

// cautions names what is possible but unlikely to be meant, or unsafe.
func (f *File) cautions(s *strings.Builder) {
	a, c := &f.Bench.Apparatus, &f.Bench.Calibration
	rest := a.Equilibrium()
	for _, caution := range []struct {
		raised bool
		text   string
	}{
		{a.Spring.SafeExtension > 0 && rest > a.Spring.SafeExtension,
			"the bob at rest already stretches the spring past its safe extension: take a lighter bob or a stiffer spring"},
		{a.Spring.SafeExtension > 0 && rest <= a.Spring.SafeExtension && 2*rest > a.Spring.SafeExtension,
			"a bob dropped from the unstretched spring stretches it past its safe extension"},
		{c.Force.Max > 0 && 2*a.Bob.Mass.Value*a.Gravity.Value > c.Force.Max,
			"a dropped bob pulls with twice its weight, more than the load cell's capacity"},
		{c.Distance.Max > 0 && c.Distance.Min >= c.Distance.Max,
			"the ranging sensor sees nothing between its nearest and farthest distance"},
		{a.Bob.Mass.U > a.Bob.Mass.Value/10 || a.Spring.Rate.U > a.Spring.Rate.Value/10,
			"an uncertainty is more than a tenth of its quantity: is the unit right?"},
		{a.Bob.Mass.U == 0 || a.Spring.Rate.U == 0 || a.Support.U == 0 || a.Spring.NaturalLength.U == 0,
			"quantities without an uncertainty count as exact, and the energies' uncertainties come out too small"},
		{c.Force.Span.Value == 1 && c.Force.Zero.Value == 0,
			"the load cell is not calibrated: its counts are shown as newtons"},
	} {
		if caution.raised {
			fmt.Fprintf(s, "  CAUTION: %s\n", caution.text)
		}
	}
}
