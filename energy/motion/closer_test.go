package motion

import (
	"math"
	"testing"
)

// At the turns of a swing the usual answer is flattened by A w^4/280 (own derivation), the
// closer one hardly, and both state what their noise is.
func TestCloserAnswerAtTheTurns(t *testing.T) {
	const amplitude, frequency = 0.1, 1.6
	p := swing(amplitude, frequency)
	s := sample(p, 100, 100, 1e-3, 5)
	m := newSmoother(t, s)
	m.HalfWidth = 0.1
	m.reachTo(nanoseconds(m.HalfWidth))
	var usual, closer, square, u2 float64
	n := 0.0
	for k := range 300 {
		at := (float64(k)/2 + 0.75) / frequency
		if at > 99 {
			break
		}
		truth := p.position(at)
		side := math.Copysign(1, truth-p.position(at-0.1))
		a, b := m.Both(nanoseconds(at))
		if a.Quality.Degree != smoothDegree {
			continue
		}
		usual += side * (truth - a.Position.Value)
		off := truth - b.Position.Value
		closer += side * off
		square, u2, n = square+off*off, u2+b.Position.U*b.Position.U, n+1
	}
	usual, closer = usual/n, closer/n
	w := 2 * math.Pi * frequency * m.HalfWidth
	want := amplitude * w * w * w * w / 280
	t.Logf("flattened by %.4g m, of which the closer answer leaves %.4g m", usual, closer)
	if math.Abs(usual-want) > 0.2*want {
		t.Errorf("usual answers are %.3g m within the turns, want %.3g", usual, want)
	}
	if math.Abs(closer) > 0.15*want {
		t.Errorf("closer answers are still %.3g m within the turns, of %.3g", closer, want)
	}
	if rms, u := math.Sqrt(square/n), math.Sqrt(u2/n); rms > 1.3*u || rms < 0.7*u {
		t.Errorf("deviations of %.3g m, stated %.3g m", rms, u)
	}
}

// The mean of what the closer velocity adds, along the usual one, is w^4/504 (own
// derivation), noise or no noise.
func TestDifferenceOfBothTellsTheFlattening(t *testing.T) {
	p := swing(0.1, 1.6)
	s := sample(p, 100, 60, 4e-4, 6)
	m := newSmoother(t, s)
	m.HalfWidth = 0.1
	m.reachTo(nanoseconds(m.HalfWidth))
	var along, square float64
	for _, at := range s.times[20 : len(s.times)-20] {
		a, b := m.Both(at)
		if a.Quality.Degree != smoothDegree {
			continue
		}
		along += (b.Velocity.Value - a.Velocity.Value) * a.Velocity.Value
		square += a.Velocity.Value * a.Velocity.Value
	}
	w := 2 * math.Pi * 1.6 * m.HalfWidth
	if got, want := along/square, w*w*w*w/504; math.Abs(got-want) > 0.1*want {
		t.Errorf("flattening = %.5f, want %.5f", got, want)
	}
}

func TestSettleNarrowsUntilACubicSuffices(t *testing.T) {
	p := swing(0.1, 1.6)
	s := sample(p, 250, 15, 1e-4, 7)
	m := newSmoother(t, s)
	m.HalfWidth = 0.19
	m.reachTo(nanoseconds(m.HalfWidth))
	raised := func() (share float64) {
		for _, i := range spread(len(s.times)) {
			if m.judge(s.times[i]) && m.window.fit.terms > smoothDegree+1 {
				share += 1.0 / 300
			}
		}
		return share
	}
	if before := raised(); before < 0.2 {
		t.Fatalf("degree raised at %.2f of the instants: too few to try this", before)
	}
	m.Settle()
	if after := raised(); after > 0.06 || m.HalfWidth > 0.12 || m.HalfWidth < 0.03 {
		t.Errorf("half width %.3f s, degree raised at %.2f of the instants", m.HalfWidth, after)
	}
	settled := m.HalfWidth
	m.Settle()
	if m.HalfWidth != settled {
		t.Errorf("settled once more at %.3f s after %.3f s", m.HalfWidth, settled)
	}
}
