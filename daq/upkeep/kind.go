package upkeep

import (
	"fmt"
	"strings"
	"time"

	"joulewell/daq/setup"
)

// Kind is what a calibration is about.
type Kind string

// The kinds of calibration.
const (
	Force    Kind = "force"    // load cell: indication to newtons
	Distance Kind = "distance" // ranging sensor: indication to metres, and its place
	Timing   Kind = "timing"   // delay of the force after the distance
	Spring   Kind = "spring"   // rate and initial tension
)

// Kinds lists all kinds.
func Kinds() []Kind { return []Kind{Force, Distance, Timing, Spring} }

// keys are the keys of the bench file that a calibration of each kind may set.
var keys = map[Kind][]string{
	Force: {"force_zero_counts", "force_zero_u_counts", "force_span_N_per_count", "force_span_u_N_per_count",
		"force_bend_N_per_count2", "force_bend_u_N_per_count2", "force_span_bend_correlation", "force_noise_N"},
	Distance: {"distance_scale", "distance_scale_u", "distance_offset_mm", "distance_offset_u_mm", "distance_pivot_mm",
		"distance_noise_mm"},
	Timing: {"force_delay_ms", "force_delay_u_ms", "distance_delay_ms", "distance_delay_u_ms"},
	Spring: {"spring_rate_N_m", "spring_rate_u_N_m", "spring_initial_tension_N", "spring_initial_tension_u_N",
		"spring_rate_tension_correlation", "spring_curve_mm", "spring_curve_N"},
}

// ParseKind reads the name of a kind.
func ParseKind(name string) (Kind, error) {
	k := Kind(name)
	if keys[k] == nil {
		var names []string
		for _, k := range Kinds() {
			names = append(names, string(k))
		}
		return "", fmt.Errorf("calibration of %q: there is no such kind: it is one of %s", name, strings.Join(names, ", "))
	}
	return k, nil
}

// since is the day from which on the part that k is about is what it is.
func (k Kind) since(s setup.Since) time.Time {
	switch k {
	case Force:
		return s.Force
	case Distance:
		return s.Distance
	case Spring:
		return s.Spring
	}
	if s.Force.After(s.Distance) { // a delay is between the two
		return s.Force
	}
	return s.Distance
}
