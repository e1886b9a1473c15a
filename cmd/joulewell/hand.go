package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"joulewell/daq/setup"
	"joulewell/energy"
	"joulewell/energy/quantity"
)

// hand collects what a person measured by hand: from a bench file, from a list of
// readings and from flags, each over the one before.
type hand struct {
	config, from       string
	json               bool
	readings           []*reading
	latitude, altitude quantity.Quantity
	apparatus          *setup.File // of --config; nil without
}

// reading is a flag that takes a quantity as a person writes it, and a key of --from.
type reading struct {
	name string
	kind quantity.Kind
	to   *quantity.Quantity
	help string
	zero bool // a plain zero is a decision, not a reading
	text string
}

// Set keeps what stands on the command line; [hand.gather] reads it.
func (r *reading) Set(text string) error { r.text = text; return nil }

// String and Type are what the list of options shows.
func (r *reading) String() string { return r.text }
func (r *reading) Type() string   { return strings.ReplaceAll(r.kind.String(), "spring ", "") }

// add makes the flags.
func (h *hand) add(c *cobra.Command) {
	for _, r := range h.readings {
		c.Flags().Var(r, r.name, r.help)
	}
	c.Flags().StringVar(&h.config, "config", "", "take the apparatus from this bench file")
	c.Flags().StringVar(&h.from, "from", "", "take readings from this file: .toml with keys like the options here,\nor .csv with two columns, quantity and reading")
	c.Flags().BoolVar(&h.json, "json", false, "print for a program, in SI units")
	c.Flags().SortFlags = false
}

// benchReadings are the options that describe a bench.
func (h *hand) benchReadings(b *quantity.Bench) {
	h.readings = []*reading{
		{name: "bob-mass", kind: quantity.Mass, to: &b.BobMass, help: "everything that hangs below the spring"},
		{name: "bob-length", kind: quantity.Length, to: &b.BobLength, help: "from the spring's lower end to the bob's lowest point"},
		{name: "spring-mass", kind: quantity.Mass, to: &b.SpringMass, help: "hooks included"},
		{name: "natural-length", kind: quantity.Length, to: &b.NaturalLength, help: "of the spring lying unloaded on the table"},
		{name: "spring-rate", kind: quantity.Rate, to: &b.Rate, help: "force per extension"},
		{name: "initial-tension", kind: quantity.Force, to: &b.InitialTension, zero: true, help: "force at which a close-wound spring begins to open (none)"},
		{name: "gravity", kind: quantity.Acceleration, to: &b.Gravity, help: "where it was measured; else give latitude and altitude"},
		{name: "latitude", kind: quantity.Angle, to: &h.latitude, help: "of the place, in deg"},
		{name: "altitude", kind: quantity.Length, to: &h.altitude, help: "of the place, above the sea"},
		{name: "support-height", kind: quantity.Length, to: &b.Support, help: "of the point that holds the spring's top, above the floor"},
		{name: "rule", kind: quantity.Ratio, to: &b.Rule, help: "true length over length read, as in \"1 +- 0.05%\" (a perfect rule)"},
	}
}

// gather reads everything. Quantities in b that nobody gave stay as they are.
func (h *hand) gather(c *cobra.Command, b *quantity.Bench) error {
	if h.config != "" {
		file, err := setup.Load(h.config)
		if err != nil {
			return err
		}
		h.apparatus = &file
		takeApparatus(b, &file.Bench.Apparatus)
	}
	if h.from != "" {
		if err := h.take(c); err != nil {
			return err
		}
	}
	for _, r := range h.readings {
		if err := r.read(); err != nil {
			return fmt.Errorf("--%s: %w", r.name, err)
		}
	}
	return h.place(b)
}

// takeApparatus takes the bench from a bench file, in which gravity may be a stand-in.
func takeApparatus(b *quantity.Bench, a *energy.Apparatus) {
	b.BobMass, b.BobLength = quantity.Known(quantity.Mass, a.Bob.Mass), quantity.Known(quantity.Length, a.Bob.Length)
	b.SpringMass, b.NaturalLength = quantity.Known(quantity.Mass, a.Spring.Mass), quantity.Known(quantity.Length, a.Spring.NaturalLength)
	b.Rate, b.Support = quantity.Known(quantity.Rate, a.Spring.Rate), quantity.Known(quantity.Length, a.Support)
	if a.Spring.InitialTension != (energy.Estimate{}) {
		b.InitialTension = quantity.Known(quantity.Force, a.Spring.InitialTension)
	}
	b.Departure = a.Spring.Departure
	if a.Gravity != setup.Blank().Bench.Apparatus.Gravity {
		b.Gravity = quantity.Known(quantity.Acceleration, a.Gravity)
	}
}

// read turns the text of an option into its quantity.
func (r *reading) read() error {
	if r.text == "" {
		return nil
	}
	if r.zero && strings.EqualFold(r.text, "none") {
		*r.to = quantity.Chosen(r.kind, 0)
		return nil
	}
	q, err := quantity.Parse(r.text, r.kind)
	if err != nil {
		return err
	}
	if r.zero && q.Value == 0 && q.How == quantity.LastDigit {
		q = quantity.Chosen(r.kind, 0)
	}
	*r.to = q
	return nil
}

// place works out gravity where only the place is told.
func (h *hand) place(b *quantity.Bench) error {
	switch {
	case !h.latitude.Given() && !h.altitude.Given():
		return nil
	case !h.latitude.Given() || !h.altitude.Given():
		return usageError{errors.New("gravity by place: --latitude and --altitude go together")}
	case h.given("gravity"):
		return usageError{errors.New("--gravity and --latitude: give one of them")}
	}
	g, err := quantity.Gravity(h.latitude, h.altitude)
	if err != nil {
		return err
	}
	b.Gravity = g
	return nil
}

func (h *hand) given(name string) bool {
	i := slices.IndexFunc(h.readings, func(r *reading) bool { return r.name == name })
	return i >= 0 && h.readings[i].text != ""
}

// refused tells a person which option a refusal of the physics is about.
func refused(err error) error {
	if missing, ok := errors.AsType[quantity.MissingError](err); ok {
		return usageError{fmt.Errorf("%w with --%s, in a file with --from or a bench file with --config",
			missing, strings.ReplaceAll(missing.Name, " ", "-"))}
	}
	return err
}
