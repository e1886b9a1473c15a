package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"joulewell/daq/setup"
	"joulewell/energy/quantity"
)

// hand collects what a person measured by hand: from a bench file, from a list of
// readings and from flags, each over the one before.
type hand struct {
	config, from string
	json         bool
	readings     []*reading
	site         quantity.Site
	apparatus    *setup.File // of --config; nil without
}

// reading is a flag that takes a quantity as a person writes it, and a key of --from.
type reading struct {
	quantity.Field
	text string
}

// Set keeps what stands on the command line; [hand.gather] reads it.
func (r *reading) Set(text string) error { r.text = text; return nil }

// String and Type are what the list of options shows.
func (r *reading) String() string { return r.text }
func (r *reading) Type() string   { return strings.ReplaceAll(r.Kind.String(), "spring ", "") }

// add makes the flags.
func (h *hand) add(c *cobra.Command) {
	for _, r := range h.readings {
		c.Flags().Var(r, r.Name, r.Help)
	}
	c.Flags().StringVar(&h.config, "config", "", "take the apparatus from this bench file")
	c.Flags().StringVar(&h.from, "from", "", "take readings from this file: .toml with keys like the options here,\nor .csv with two columns, quantity and reading")
	c.Flags().BoolVar(&h.json, "json", false, "print for a program, in SI units")
	c.Flags().SortFlags = false
}

// take makes flags of fields, those of the place after gravity's.
func (h *hand) take(fields []quantity.Field) {
	for _, f := range h.site.After(fields) {
		h.readings = append(h.readings, &reading{Field: f})
	}
}

// gather reads everything. Quantities in b that nobody gave stay as they are.
func (h *hand) gather(c *cobra.Command, b *quantity.Bench) error {
	if h.config != "" {
		file, err := openBench(h.config)
		if err != nil {
			return err
		}
		h.apparatus = &file
		b.Know(&file.Bench.Apparatus)
	}
	if h.from != "" {
		if err := h.open(c); err != nil {
			return err
		}
	}
	for _, r := range h.readings {
		if err := r.read(); err != nil {
			return fmt.Errorf("--%s: %w", r.Name, err)
		}
	}
	if err := h.site.Tell(b, h.given("gravity")); err != nil {
		return usageError{err}
	}
	return nil
}

// read turns the text of an option into its quantity.
func (r *reading) read() error {
	if r.text == "" {
		return nil
	}
	return r.Read(r.text)
}

func (h *hand) given(name string) bool {
	i := slices.IndexFunc(h.readings, func(r *reading) bool { return r.Name == name })
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
