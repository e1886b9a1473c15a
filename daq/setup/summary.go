package setup

import (
	"fmt"
	"strings"

	"joulewell/energy"
)

// Summary says in a few lines what a bench file means, for a person to compare with
// the bench before them.
func (f *File) Summary() string {
	var s strings.Builder
	a := &f.Bench.Apparatus
	line := func(name string, e energy.Estimate, factor float64, unit string) {
		fmt.Fprintf(&s, "  %-22s %10.5g %-5s  u %.2g\n", name, e.Value*factor, unit, e.U*factor)
	}
	fmt.Fprintf(&s, "bench %s: spring %s, bob %s\n", f.Bench.Name, orDash(f.Bench.SpringLabel), orDash(f.Bench.BobLabel))
	line("bob mass", a.Bob.Mass, 1e3, "g")
	line("bob length", a.Bob.Length, 1e3, "mm")
	line("spring mass", a.Spring.Mass, 1e3, "g")
	line("spring natural length", a.Spring.NaturalLength, 1e3, "mm")
	line("spring rate", a.Spring.Rate, 1, "N/m")
	line("initial tension", a.Spring.InitialTension, 1, "N")
	line("support height", a.Support, 1e3, "mm")
	line("gravity", a.Gravity, 1, "m/s2")
	at := a.Height(a.Equilibrium())
	fmt.Fprintf(&s, "  the bob hangs at rest %.0f mm above the floor, the spring %.0f mm extended\n",
		1e3*at, 1e3*a.Equilibrium())
	if at < 0 {
		s.WriteString("  CAUTION: that is below the floor: raise the support\n")
	}
	fmt.Fprintf(&s, "device on %s at %d bit/s; web server on %s; runs in %s\n", f.Device.Port, f.Device.Baud, f.Listen, f.Data)
	return s.String()
}

func orDash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}
