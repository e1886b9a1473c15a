package paper

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"joulewell/calib"
	"joulewell/daq/upkeep"
	"joulewell/daq/workup"
	"joulewell/energy/quantity"
)

// calibration is the table of the calibrations that a run went by.
func calibration(r *workup.Run) table {
	c := &r.Meta.Setup.Calibration
	t := table{
		Caption: "Calibrations that the run went by; ± is the expanded uncertainty, k = 2",
		Kind:    "calibration",
		Head:    []column{{"of", false}, {"done", false}, {"says", false}, {"points read", false}},
	}
	for _, part := range []struct {
		kind upkeep.Kind
		date time.Time // that the run itself knows
		says []string
	}{
		{upkeep.Distance, c.Distance.Date, saysDistance(&c.Distance)},
		{upkeep.Force, c.Force.Date, saysForce(&c.Force)},
		{upkeep.Timing, time.Time{}, []string{
			"force is older than its stamp by " + in("ms", c.Force.Delay, milli),
			"distance by " + in("ms", c.Distance.Delay, milli),
		}},
		{upkeep.Spring, time.Time{}, []string{"rate and initial tension: see the apparatus"}},
	} {
		done, points := dated(part.date, r.Meta.Created), "not at hand"
		if i := slices.IndexFunc(r.Used, func(e upkeep.Entry) bool { return e.Kind == part.kind }); i >= 0 {
			done, points = entered(&r.Used[i], r.Meta.Created)
		}
		t.Rows = append(t.Rows, []string{part.kind.Part(), done, strings.Join(part.says, "; "), points})
	}
	t.Rows = append(t.Rows, []string{"air", "where no sensor reports it", measured(quantity.Temperature, c.Air.Temperature), "-"})
	return t
}

// dated writes a date and the age that it had at an instant.
func dated(date, at time.Time) string {
	if date.IsZero() {
		return "not stated: values of the bench file"
	}
	days := int(math.Floor(at.Sub(date).Hours() / 24))
	age := fmt.Sprintf("%d days before the run", days)
	switch {
	case days == 1:
		age = "a day before the run"
	case days == 0:
		age = "on the day of the run"
	case days < 0:
		age = "after the run"
	}
	return date.UTC().Format(time.DateOnly) + ", " + age
}

// entered says when an entry was made and what was read for it.
func entered(e *upkeep.Entry, at time.Time) (done, points string) {
	done = dated(e.Date, at)
	if e.By != "" {
		done += ", by " + e.By
	}
	standing := upkeep.Standing{Kind: e.Kind, Entry: e}
	if late := standing.Overdue(at); late != "" {
		done += "; overdue: " + late
	}
	var parts []string
	for _, text := range append([]string{e.Short(), e.Method, e.Note}, e.Warnings...) {
		if text != "" {
			parts = append(parts, text)
		}
	}
	if len(parts) == 0 {
		return done, "none kept"
	}
	return done, strings.Join(parts, "; ")
}

func saysDistance(d *calib.Distance) []string {
	from := "looks up from the floor"
	if d.Mounting == calib.Support {
		from = "looks down from the support"
	}
	return []string{
		from, "scale " + pure(d.Scale, one),
		"offset " + measured(quantity.Length, d.Offset), "one distance scatters by " + quantity.Length.Text(d.Noise, d.Noise),
	}
}

func saysForce(f *calib.Force) []string {
	const counting = 1e-2 // no cell that states newtons has such a span
	says := []string{"zero at " + pure(f.Zero, one)}
	if math.Abs(f.Span.Value) < counting {
		says = append(says, "span "+in("µN per count", f.Span, micro))
	} else {
		says = append(says, "span "+pure(f.Span, one))
	}
	if f.Bend.Value != 0 || f.Bend.U != 0 {
		says = append(says, fmt.Sprintf("bend %.3g times the square of the indication", f.Bend.Value))
	}
	says = append(says, "one force scatters by "+quantity.Force.Text(f.Noise, f.Noise))
	if f.Max > 0 {
		says = append(says, "carries at most "+quantity.Force.Text(f.Max, 0.1*f.Max))
	}
	return says
}
