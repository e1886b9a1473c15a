package analysis

import (
	"fmt"
	"strings"
	"testing"

	"joulewell/daq/virtual"
)

// A delay that the calibration got wrong is found and said, one that is right is not.
func TestWrongDelayIsSaid(t *testing.T) {
	for _, wrong := range []float64{0, 0.004, -0.004} {
		t.Run(fmt.Sprint(wrong), func(t *testing.T) {
			c := virtual.Quiet(250)
			c.Hand.Period, c.Spring.Coils = 0, coils
			r, b, _ := record(t, c, 12)
			b.Calibration.Force.Delay.Value -= wrong
			run, err := Analyse(r, b, Options{})
			if err != nil {
				t.Fatal(err)
			}
			near(t, "delay found [s]", run.Delay.Lag.Value-run.Delay.Friction/2, wrong, run.Delay.Friction)
			if said := strings.Contains(strings.Join(run.Notes, "; "), "calibrate its delay anew"); said != (wrong != 0) {
				t.Errorf("said so: %t, notes %q", said, run.Notes)
			}
		})
	}
}

// One reading in a hundred off something else: the delay that Newton's second law finds is
// no less sure for it.
func TestFalseReadingsDoNotSpoilTheDelay(t *testing.T) {
	var u [2]float64
	for i, share := range []float64{0, 0.01} {
		c := virtual.Quiet(250)
		c.Hand.Period, c.Spring.Coils, c.Losses, c.Ranger.Outliers = 0, coils, virtual.Losses{}, share
		r, b, _ := record(t, c, 12)
		run, err := Analyse(r, b, Options{})
		if err != nil {
			t.Fatal(err)
		}
		u[i] = run.Delay.Lag.U
		near(t, "delay left [s]", run.Delay.Lag.Value, 0, 4*u[i])
	}
	if u[1] > 1.3*u[0] {
		t.Errorf("u of the delay %.2g s with false readings, %.2g s without", u[1], u[0])
	}
}
