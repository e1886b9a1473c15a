package slip

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"joulewell/energy/balance"
	"joulewell/energy/quantity"
	"joulewell/energy/worksheet"
)

// bench is a bench that a course may have, with its readings: lengths to 1 mm, masses to
// 0.1 g, the rate to three digits.
func bench(t testing.TB, r *rand.Rand) balance.Readings {
	between := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	g := between(9.781, 9.832)
	k, fall := between(5, 50), between(0.1, 1.2)
	tension := 0.0
	if r.IntN(3) == 0 {
		tension = between(0.1, 0.4)
	}
	m := min(k*fall/(2*g*(1-tension)), 2)
	f0 := tension * m * g
	fall = 2 * (m*g - f0) / k
	spring := m * between(0.01, 0.6)
	natural, bob := between(0.08, 0.4), between(0.03, 0.15)
	hangs := max(0, spring*g-f0)
	hangs = hangs * hangs / (2 * k * spring * g)
	from := max(hangs, spring*g/(2*k)) + between(0, 0.2)*fall
	rest := ((m+spring/2)*g - f0) / k
	from = min(from, 0.8*rest)
	to, speed := rest+(rest-from)*between(0.9, 1), 0.0
	if r.IntN(3) == 0 {
		to = rest + (rest-from)*between(-0.3, 0.6)
		off := (to - rest) / (rest - from)
		speed = (rest - from) * math.Sqrt(k/(m+spring/3)*(1-off*off)) * between(0.9, 1)
	}
	support := natural + to + bob + between(0.02, 0.4)
	read := func(kind quantity.Kind, format string, v float64) quantity.Quantity {
		q, err := quantity.Parse(fmt.Sprintf(format, v), kind)
		if err != nil {
			t.Fatal(err)
		}
		return q
	}
	mm := func(v float64) quantity.Quantity { return read(quantity.Length, "%.1f cm", 100*v) }
	out := balance.Readings{Bench: quantity.Bench{
		BobMass: read(quantity.Mass, "%.1f g", 1000*m), SpringMass: read(quantity.Mass, "%.1f g", max(0.1, 1000*spring)),
		BobLength: mm(bob), NaturalLength: mm(natural), Support: mm(support), Gravity: read(quantity.Acceleration, "%.3f m/s2", g),
		Rate: read(quantity.Rate, "%."+strconv.Itoa(max(0, 2-leadingDigit(k)))+"f N/m", k),
	}, Hung: mm(natural + hangs), Swinging: true}
	if f0 > 0 {
		out.Bench.InitialTension = read(quantity.Force, "%.3f N", f0)
	}
	way := r.IntN(3)
	for _, s := range []struct {
		*balance.State
		x float64
	}{{&out.Start, from}, {&out.End, to}} {
		if way != 0 {
			s.Height = mm(support - natural - s.x - bob)
		}
		if way != 1 {
			s.Length = mm(natural + s.x)
		}
	}
	if speed > 0 {
		out.End.Speed = read(quantity.Speed, "%.2f m/s", speed)
	}
	return out
}

// choice is what an instructor might ask.
func choice(r *rand.Rand, b balance.Readings) worksheet.Choice {
	c := worksheet.Choice{Title: "Severn, spring S-2", Digits: 3 + r.IntN(2)}
	drop := map[worksheet.ID]bool{}
	if r.IntN(5) == 0 {
		drop[worksheet.SpringMass] = true
	}
	if r.IntN(3) == 0 {
		drop[worksheet.HungLength] = true
	}
	s, _, err := worksheet.New(b, c)
	if err != nil {
		return c // refused later, and counted there
	}
	for _, i := range s.Readings {
		if !drop[i.ID] {
			c.Readings = append(c.Readings, i.ID)
		}
	}
	way := r.IntN(3)
	for _, i := range s.Results {
		_, name := i.ID.Split()
		if (way == 1 && name == "extension") || (way == 2 && r.IntN(10) < 3) {
			continue
		}
		c.Results = append(c.Results, i.ID)
	}
	return c
}
