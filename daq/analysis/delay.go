package analysis

import (
	"fmt"
	"math"

	"joulewell/energy"
	"joulewell/energy/loss"
	"joulewell/energy/motion"
)

// Delay holds the delay that Newton's second law finds beside the calibrated one.
type Delay struct {
	motion.Delay                 // by which force lags still, after the calibrated delay was taken out
	Friction     float64         // [s] by which friction in step with the velocity can feign a delay
	Calibrated   energy.Estimate // [s] of force after distance, already taken out
	Disagrees    bool            // the two differ by more than both uncertainties and friction allow
}

// delay looks for a delay left between the channels, in the longest swing.
func (a *analyser) delay() {
	var s *Swing
	for i := range a.run.Swings {
		if n := &a.run.Swings[i]; n.Period != nil && (s == nil || len(n.Record) > len(s.Record)) {
			s = n
		}
	}
	if s == nil || len(s.epoch.forces.Times) == 0 {
		return
	}
	from := nanoseconds(s.Record[0].T.Value)
	to := nanoseconds(s.Record[len(s.Record)-1].T.Value)
	found, err := motion.FindDelay(a.believed(s, slice(s.epoch.heights, from, to)), slice(s.epoch.forces, from, to), s.Period.Value/2)
	if err != nil {
		a.run.Notes = append(a.run.Notes, "delay of the force not checked: "+err.Error())
		return
	}
	f, d := &a.bench.Calibration.Force.Delay, &a.bench.Calibration.Distance.Delay
	delay := &Delay{Delay: found, Friction: s.feigned(), Calibrated: energy.Estimate{Value: f.Value - d.Value, U: math.Hypot(f.U, d.U)}}
	spare := 2 * math.Hypot(found.Lag.U, delay.Calibrated.U)
	delay.Disagrees = found.Lag.Value < -spare || found.Lag.Value > spare+delay.Friction
	if delay.Disagrees {
		a.run.Notes = append(a.run.Notes, fmt.Sprintf("the force lags by %.1f ms more than its calibration says, %.1f ms: calibrate its delay anew, loops depend on it",
			1e3*found.Lag.Value, 1e3*delay.Calibrated.Value))
	}
	a.run.Delay = delay
}

// believed returns the heights that lie on the swing's path, as far as noise allows. A
// single false echo in a window would say more of the acceleration there than all others.
func (a *analyser) believed(s *Swing, heights motion.Series) motion.Series {
	var kept motion.Series
	k := 0
	for i, t := range heights.Times {
		at := seconds(t)
		for k+2 < len(s.moving) && s.moving[k+1].T <= at {
			k++
		}
		x, ok := s.extension(k, at)
		if ok && math.Abs(a.bench.Apparatus.Extension(heights.Values[i])-x) <= away*a.run.Noise {
			kept.Times, kept.Values = append(kept.Times, t), append(kept.Values, heights.Values[i])
		}
	}
	return kept
}

// feigned is the largest delay [s] that friction can feign: 2 g/w^2 where the swing
// decays at the rate g.
func (s *Swing) feigned() float64 {
	amplitudes, err := loss.Amplitudes(s.Record)
	if err != nil || len(amplitudes) < 2 {
		return 0
	}
	first, last := amplitudes[0], amplitudes[len(amplitudes)-1]
	if !(first.Value.Value > 0 && last.Value.Value > 0) {
		return 0
	}
	rate := math.Log(first.Value.Value/last.Value.Value) / (last.T - first.T)
	omega := 2 * math.Pi / s.Period.Value
	return math.Max(0, 2*rate/(omega*omega))
}

func slice(s motion.Series, from, to int64) motion.Series {
	i, j := indexOf(s.Times, from), indexOf(s.Times, to+1)
	return motion.Series{Times: s.Times[i:j], Values: s.Values[i:j]}
}
