package virtual

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// ErrFault is wrapped by every refusal of a fault.
var ErrFault = errors.New("unknown or impossible fault")

// ParseFaults reads faults as a person writes them, each
//
//	name            default strength, all the time
//	name=strength
//	name@t          from t seconds after the start on; an event happens once, at t
//	name=strength@t-u    from t to u seconds
//
// where [Faults] lists the names. Errors wrap [ErrFault] and say what would pass.
func ParseFaults(specs []string) ([]Injected, error) {
	var list []Injected
	for _, s := range specs {
		in, err := parseFault(s)
		if err == nil {
			err = in.check()
		}
		if err != nil {
			return nil, fmt.Errorf("read fault %q: %w", s, err)
		}
		list = append(list, in)
	}
	return list, nil
}

func parseFault(s string) (Injected, error) {
	rest, when, timed := strings.Cut(s, "@")
	name, strength, strong := strings.Cut(rest, "=")
	spec := specOf(name)
	if spec == nil {
		return Injected{}, unknownFault(name)
	}
	in := Injected{Name: name, Strength: spec.Strength, To: forever}
	if strong {
		v, err := number(strength)
		if err != nil {
			return in, fmt.Errorf("%w: strength: %w", ErrFault, err)
		}
		in.Strength = v
	}
	if !timed {
		if spec.kind == event {
			in.From = firstEvent
		}
		return in, nil
	}
	if spec.kind == built {
		return in, fmt.Errorf("%w: %s is part of the bench from the start and takes no time", ErrFault, name)
	}
	from, to, both := strings.Cut(when, "-")
	var err error
	if in.From, err = number(from); err != nil {
		return in, fmt.Errorf("%w: time: %w", ErrFault, err)
	}
	if spec.kind == event {
		in.To = in.From
	}
	if both {
		if in.To, err = number(to); err != nil {
			return in, fmt.Errorf("%w: time: %w", ErrFault, err)
		}
	}
	return in, nil
}

func number(s string) (float64, error) {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%q is not a number such as 0.1 or 12.5", s)
	}
	return v, nil
}

func unknownFault(name string) error {
	names := make([]string, len(specs))
	for i := range specs {
		names[i] = specs[i].Name
	}
	return fmt.Errorf("%w: there is no %q, only %s", ErrFault, name, strings.Join(names, ", "))
}

// check refuses a fault that is unknown or cannot be.
func (in *Injected) check() error {
	spec := specOf(in.Name)
	switch {
	case spec == nil:
		return unknownFault(in.Name)
	case !(in.Strength > 0) || math.IsInf(in.Strength, 0):
		return fmt.Errorf("%w: %s with strength %g: must be positive", ErrFault, in.Name, in.Strength)
	case spec.kind == share && in.Strength > 1:
		return fmt.Errorf("%w: %s with strength %g: is a share, at most 1", ErrFault, in.Name, in.Strength)
	case !(in.From >= 0) || !(in.To >= in.From):
		return fmt.Errorf("%w: %s from %g s to %g s: must not begin before 0 nor after its end", ErrFault, in.Name, in.From, in.To)
	}
	return nil
}
