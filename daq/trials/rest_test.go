package trials

import (
	"math"
	"testing"
)

// A swing that no force tells, and that the distances do not show for their uncertainty, is
// not a bob held still above the place where it hangs; one that is held farther off is.
func TestUnseenSwingIsNotHeld(t *testing.T) {
	b := &body{half: 0.25, noise: 1e-3, least: 0.1, wander: 0.1, neutral: 0.6}
	b.apparatus.Spring.Rate.Value = 25
	b.weight = b.pull(b.neutral) // so that nothing pulls there
	for _, c := range []struct {
		name         string
		away, swings float64 // [m]
		u            float64 // [m] of a height
		feels, held  bool
	}{
		{"a swing about a place not far off", 0.02, 0.02, 0.03, false, false},
		{"held farther off than might hide", 0.2, 0, 0.03, false, true},
		{"held not far off, and well seen", 0.02, 0, 0.001, false, true},
		{"held not far off, and felt", 0.02, 0, 0.03, true, true},
	} {
		r := rest{body: b}
		for i := range 200 {
			at := int64(i) * pace
			height := b.neutral + c.away + c.swings*math.Sin(2*math.Pi*seconds(at)/0.5)
			r.take(&sample{t: at, height: height, uHeight: c.u, seen: true, pull: b.pull(b.neutral + c.away)}, c.feels, 0.02)
		}
		if got := r.held(); got != c.held {
			t.Errorf("%s: held %t, want %t", c.name, got, c.held)
		}
	}
}
