package trials

import (
	"math"
	"slices"

	"joulewell/energy"
	"joulewell/energy/plan"
)

const (
	sure      = 4.0    // [1] standard uncertainties
	unlike    = 0.0003 // [1] share of the amplitude by which a swing may depart from the law for reasons not looked into
	wavy      = 0.001  // [1] the same, more for a spring as heavy as its bob
	closing   = 0.0015 // [1] the same, more where coils close
	heedless  = 0.02   // [1] spring over bob up to which closing coils change nothing that is seen
	fewHeld   = 3      // readings of the hold
	holdUsed  = 1.0    // [s] of it
	handShy   = 0.05   // [s] before the release that are left out
	oneSwing  = 0.85   // [1] of the first swing that is looked at where coils close
	leastKept = 0.7    // [1] share of the swing that a converter's averaging must leave
)

// push is what the swing says of how the bob left the hand.
type push struct {
	excess    energy.Estimate // [m] by which the swing goes farther out than the place where the bob was held
	speed     energy.Estimate // [m/s] at the release, whichever way
	amplitude float64         // [m]
	known     bool
}

// pushOf traces the swing back to the release. A bob that was let go at rest stood where it
// was held; one that was pushed, either way, swings farther out. The motion at the release
// does not tell it as well: how fast it began and when cannot be held apart in few noisy
// readings, while what a push gives stays in the swing. Distances and forces tell it each
// for themselves, and are taken together; a sideways swing lengthens distances by a detour
// [m].
func (v *view) pushOf(end, detour float64) push {
	seen := v.pushSeen(end)
	seen.excess.U += 2 * detour
	p := seen.and(v.pushFelt(end))
	p.excess.U = math.Hypot(p.excess.U, p.amplitude*v.slack())
	p.speed = v.speed(p.excess, p.amplitude)
	return p
}

// and takes two together, each weighted by its uncertainty.
func (p push) and(o push) push {
	switch {
	case !o.known:
		return p
	case !p.known:
		return o
	case o.excess.U < p.excess.U:
		p, o = o, p
	}
	share := 1 / (1 + math.Pow(p.excess.U/o.excess.U, 2)) // of the surer one
	p.excess.Value = share*p.excess.Value + (1-share)*o.excess.Value
	p.excess.U *= math.Sqrt(share)
	return p
}

// ratio is the spring's mass over the bob's.
func (v *view) ratio() float64 {
	return v.body.apparatus.Spring.Mass.Value / v.body.apparatus.Bob.Mass.Value
}

// slack is the share of the amplitude by which the swing may depart from the law. It makes
// the excess of 1600 simulated trials without a push scatter as its uncertainty says (own
// computation).
func (v *view) slack() float64 {
	slack := unlike + wavy*v.ratio()
	if v.closes() && v.ratio() > heedless {
		slack += closing
	}
	return slack
}

// frequency [rad/s] of the lowest mode.
func (v *view) frequency() float64 {
	a := &v.body.apparatus
	return math.Sqrt(a.Spring.Rate.Value / (a.Bob.Mass.Value + plan.EffectiveFraction(v.ratio())*a.Spring.Mass.Value))
}

// closes reports whether coils close at the top of the swing: the spring has a tension of
// its own, and the law holds for the first fall and rise only.
func (v *view) closes() bool {
	s := &v.body.apparatus.Spring
	return s.InitialTension.Value > s.Mass.Value*v.body.apparatus.Gravity.Value/10
}

// lawOf fits the law to what a channel, each of whose readings is a mean over blur [s] to
// either side, has of the swing about a middle [m]. Where coils close it holds for the falls.
func (v *view) lawOf(c channel, middle, blur, end float64) (*law, bool) {
	w := v.frequency()
	period := 2 * math.Pi / w
	if v.closes() {
		rate := &v.body.apparatus.Spring.Rate
		falls := c.between(0, end).falls(v.release+max(blur, period/8), middle, math.Abs(v.out()), period)
		if l, ok := lawOfFalls(c, falls, v.release, w, rate.U/rate.Value/2); ok {
			return l, true
		}
		return lawOf(c.between(v.release+max(blur, period/8), min(end, v.release+oneSwing*period)), v.release, w, 1)
	}
	return lawOf(c.between(v.release+max(blur, period/16), end), v.release, w, bends)
}

// held is where a channel showed the bob before the release.
func (v *view) held(c channel, blur float64) (energy.Estimate, bool) {
	before := c.between(v.release-holdUsed-blur, v.release-handShy-blur)
	n := len(before.y)
	if n < fewHeld {
		return energy.Estimate{}, false
	}
	y := slices.Sorted(slices.Values(before.y))
	return energy.Estimate{Value: y[n/2], U: 1.25 * c.noise / math.Sqrt(float64(n))}, true
}

// pushSeen tells the push by the distances.
func (v *view) pushSeen(end float64) push {
	held, ok := v.held(v.sight, 0)
	l, fits := v.lawOf(v.sight, v.body.neutral, 0, end)
	if !ok || !fits {
		return push{}
	}
	p := l.excess(held, modeOf(v.ratio()).bob)
	if v.closes() {
		p.excess.Value -= v.drawn(held.Value) - math.Abs(held.Value-v.body.neutral)
	}
	return p
}

// pushFelt tells it by the forces.
func (v *view) pushFelt(end float64) push {
	d := &v.bench.Calibration.Force.Delay
	held, ok := v.held(v.cell, d.Value)
	l, fits := v.lawOf(v.cell, 0, d.Value, end)
	if !ok || !fits {
		return push{}
	}
	kept, slope := averaged(l.w, 2*d.Value)
	if kept < leastKept {
		return push{}
	}
	unsure := 2 * slope * d.U // [1] of the amplitude
	if v.closes() {           // the force of closed coils does not tell where the bob is held
		away, ok := v.away()
		if !ok {
			return push{}
		}
		rate := &v.body.apparatus.Spring.Rate
		held.Value = l.fit.values[0] + math.Copysign(v.drawn(v.body.neutral+away.Value), away.Value)
		held.U = math.Hypot(held.U, away.U)
		unsure = math.Hypot(unsure, rate.U/rate.Value)
	}
	p := l.excess(held, kept*modeOf(v.ratio()).top)
	p.excess.U = math.Hypot(p.excess.U, unsure*p.amplitude)
	return p
}

// away is how far [m] above the neutral height the distances show the bob held, both by the
// setup.
func (v *view) away() (energy.Estimate, bool) {
	seen, ok := v.held(v.sight, 0)
	a := &v.body.apparatus
	u := seen.U
	for _, e := range []energy.Estimate{a.Support, a.Bob.Length, a.Spring.NaturalLength, v.bench.Calibration.Distance.Offset} {
		u = math.Hypot(u, e.U)
	}
	return energy.Estimate{Value: seen.Value - v.body.neutral, U: u}, ok
}

// drawn is the amplitude [m] of a swing that begins at rest at a height, by the energy that
// bob and spring have there above that at the neutral height.
func (v *view) drawn(height float64) float64 {
	model, err := energy.NewModel(v.body.apparatus, 0)
	if err != nil {
		return math.NaN()
	}
	e := model.Potential(height) - model.Potential(v.body.neutral)
	return math.Sqrt(2 * math.Max(0, e) / v.body.apparatus.Spring.Rate.Value)
}

// excess compares the law's amplitude, of which a share is to be seen, with how far from the
// middle the bob was held.
func (l *law) excess(held energy.Estimate, share float64) push {
	a, slopes := l.reach()
	side := math.Copysign(1, held.Value-l.fit.values[0])
	out := side * (held.Value - l.fit.values[0])
	for i := range slopes {
		slopes[i] /= share
	}
	slopes[0] = side
	u := l.noise * l.fit.uOf(slopes)
	return push{
		excess:    energy.Estimate{Value: a/share - out, U: math.Hypot(u, held.U)},
		amplitude: out, known: true,
	}
}

// speed turns an excess of the amplitude into the speed at the place of release.
func (v *view) speed(excess energy.Estimate, amplitude float64) energy.Estimate {
	w := v.frequency()
	square := func(x float64) float64 { return w * w * x * (2*amplitude + x) }
	at := math.Sqrt(math.Max(0, square(excess.Value)))
	return energy.Estimate{Value: at, U: math.Sqrt(square(math.Abs(excess.Value)+excess.U)) - math.Sqrt(square(math.Abs(excess.Value)))}
}

// may reports whether the swing is wide enough for a bob that left the hand at a speed.
func (v *view) may(p push, speed energy.Estimate) bool {
	least := math.Max(0, math.Abs(speed.Value)-2*speed.U) / v.frequency()
	return !p.known || math.Hypot(p.amplitude, least)-p.amplitude < p.excess.Value+sure*p.excess.U
}

// pushed looks for a push at the release.
func (v *view) pushed(p push) []Finding {
	if s := v.swing; s != nil && s.Push != nil && s.Push.Pushed && v.may(p, s.Push.Speed) {
		return finding(Pushed, true, "the bob was pushed, not only let go: it left the hand at %.2f m/s: open the fingers without moving the hand",
			math.Abs(v.swing.Push.Speed.Value))
	}
	if !p.known || !(p.excess.Value > sure*p.excess.U) {
		return nil
	}
	return finding(Pushed, true, "the bob was pushed, not only let go: it swings %.1f mm farther out than where it was held, which takes %.2f m/s at the release: open the fingers without moving the hand",
		1e3*p.excess.Value, p.speed.Value)
}
