package analysis

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"joulewell/daq/virtual"
	"joulewell/energy"
	"joulewell/energy/loss"
)

// table counts, for rows of statements and columns of benches, how often 95 % intervals
// held the truth.
type table struct {
	names []string
	rows  map[string]*[len(columns)]tally
}

func (a *table) add(b *bench, name string, e energy.Estimate, truth float64) {
	row := a.rows[name]
	if row == nil {
		if a.rows == nil {
			a.rows = map[string]*[len(columns)]tally{}
		}
		row = &[len(columns)]tally{}
		a.rows[name], a.names = row, append(a.names, name)
	}
	for i, in := range b.columns() {
		if in {
			row[i].add(e.Value, e.U, truth)
		}
	}
}

func (a *table) String() string {
	var s strings.Builder
	fmt.Fprintf(&s, "%% of 95 %% intervals that hold the truth   %6s  rms/u    of\n", strings.Join(columns[:], "  "))
	for _, name := range a.names {
		row := a.rows[name]
		fmt.Fprintf(&s, "%-42s", name)
		for i := range row {
			fmt.Fprintf(&s, "%6.1f ", 100*row[i].share())
		}
		fmt.Fprintf(&s, "%6.2f %5d\n", row[0].rms(), row[0].n)
	}
	return s.String()
}

// check wants 93 to 97 % in every column, give or take three standard deviations of the
// count, four where the columns are many; more than that where a bound is meant to be wide.
func (a *table) check(t *testing.T, name string, bounded bool) {
	t.Helper()
	for i := range a.rows[name] {
		cell := &a.rows[name][i]
		if cell.n == 0 {
			continue
		}
		slack := 4 * math.Sqrt(0.95*0.05/float64(cell.n))
		if i == 0 {
			slack *= 0.75
		}
		if share := cell.share(); share < min(0.93, 0.95-slack) || (!bounded && share > max(0.97, 0.95+slack)) {
			t.Errorf("%s, %s benches: %.1f %% of %d intervals hold the truth", strings.TrimSpace(name), columns[i], 100*share, cell.n)
		}
	}
}

// turned returns the truth at the turn next to an instant [s].
func turned(rig *virtual.Rig, at float64) virtual.Truth {
	before, now := nanoseconds(at-0.002), nanoseconds(at)
	speed := rig.At(before).Velocity
	for range 8 {
		truth := rig.At(now)
		if now == before || truth.Velocity == speed {
			break
		}
		step := int64(truth.Velocity * float64(now-before) / (truth.Velocity - speed))
		if step > 2e7 || step < -2e7 {
			break // no turn is near
		}
		before, speed = now, truth.Velocity
		now -= step
	}
	return rig.At(now)
}

// truths are the states of a rig at the turning points of a swing.
func truths(s *Swing, rig *virtual.Rig) []virtual.Truth {
	all := make([]virtual.Truth, len(s.Record))
	for i := range s.Record {
		if p := &s.Record[i]; p.Release { // when it was is known to 50 ms only, where it was to the hold
			all[i] = rig.At(nanoseconds(s.HeldTo))
		} else {
			all[i] = turned(rig, p.T.Value)
		}
	}
	return all
}

// trueDecrease is the share of the amplitude that a cycle truly takes, over the cycles that
// [loss.Decrease] looks at.
func trueDecrease(record []loss.Turning, all []virtual.Truth) (float64, error) {
	exact := append([]loss.Turning{}, record...)
	for i := range exact {
		exact[i].Extension = energy.Estimate{Value: all[i].Extension, U: 1e-9}
	}
	e, err := loss.Decrease(exact)
	return e.Value, err
}

// truePeriod is twice the slope of the true times of the turns.
func truePeriod(record []loss.Turning, all []virtual.Truth) float64 {
	var n, si, st, sii, sit float64
	for i := range all {
		if !record[i].Release {
			x, y := float64(record[i].Index), seconds(all[i].At)
			n, si, st, sii, sit = n+1, si+x, st+y, sii+x*x, sit+x*y
		}
	}
	return 2 * (n*sit - si*st) / (n*sii - si*si)
}

// Many benches, drawn at random and known as well as people say: every statement of an
// analysis against what the simulation knows. Where waves run in the coils, truth is all
// energy that the chain holds, that of the waves included; the books show the bob's place
// only and carry a bound for what hides from it, beside which they are shown without. A
// bound is wide by design.
func TestManyBenches(t *testing.T) {
	var a table
	n, refused := benches(36), 0
	for seed := range uint64(n) {
		b := draw(seed)
		run, rig, err := b.analyse(t, 10, Options{})
		if err != nil || !run.Swings[0].Record[0].Release || len(run.Swings[0].Rows) == 0 {
			refused++
			t.Logf("seed %d, %s, %.0f readings in a period: %v", seed, b.way, b.Ranger.Rate*b.period, err)
			continue
		}
		a.swing(b, &run.Swings[0], rig)
	}
	t.Logf("%d benches, %d refused\n%s", n, refused, &a)
	for _, name := range a.names {
		a.check(t, name, a.names[0] == name || strings.Contains(name, "waves bounded"))
	}
	if refused > n/10 {
		t.Errorf("%d of %d benches refused", refused, n)
	}
}

// swing enters what an analysis says of a swing.
func (a *table) swing(b *bench, s *Swing, rig *virtual.Rig) {
	all := truths(s, rig)
	lost := func(name string, l *loss.Ledger, to int) {
		truth := all[to].Lost.Sum() - all[0].Lost.Sum()
		a.add(b, name+", waves bounded", l.Lost, truth)
		if !b.heavy() {
			a.add(b, name+", waves left out, light", energy.Estimate{Value: -l.Change.Value, U: l.Change.U}, truth)
		}
	}
	lost("loss of the first cycle", &s.Rows[0], after(s.Record, 0, 2*s.CyclesPerRow))
	lost("loss of all cycles", s.Whole, loss.LastAlike(s.Record))
	if s.Period != nil && len(s.Record) > 4 {
		a.add(b, "period", *s.Period, truePeriod(s.Record, all))
	}
	if truth, err := trueDecrease(s.Record, all); err == nil && s.Decrease != nil {
		a.add(b, "decrease of the amplitude a cycle", *s.Decrease, truth)
	}
	k := b.known().Calibration
	relative := k.Distance.Scale.U
	if b.cheap() {
		relative = math.Hypot(relative, 0.0011) // of the sound
	}
	series, err := loss.Amplitudes(s.Record)
	for i := 0; err == nil && i < min(2, len(series)); i++ {
		if series[i].Index == i {
			truth := math.Abs(all[i+1].Extension-all[i].Extension) / 2
			a.add(b, fmt.Sprintf("amplitude, half swing %d", i), energy.Estimate{
				Value: series[i].Value.Value, U: math.Hypot(series[i].Value.U, truth*relative)}, truth)
		}
	}
	for i := range min(4, len(all)) {
		name := fmt.Sprintf("energy at turn %d", i)
		if i > 0 {
			name += ", waves bounded"
		}
		a.add(b, name, s.Turns[i].Energies.Total, all[i].Mechanical()-constant(&b.Config))
		a.add(b, "height at the turns", s.Turns[i].Height, all[i].Height)
	}
}
