package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"
	"github.com/spf13/cobra"

	"joulewell/energy/quantity"
)

// entry is one reading as it stands in a file.
type entry struct{ where, name, text string }

// open reads the file of --from into the readings that no flag has given.
func (h *hand) open(c *cobra.Command) error {
	if err := present(h.from); err != nil {
		return fmt.Errorf("read %w", err)
	}
	text, err := os.ReadFile(h.from)
	if err != nil {
		return fmt.Errorf("read %s: %w", h.from, err)
	}
	var entries []entry
	switch strings.ToLower(filepath.Ext(h.from)) {
	case ".toml":
		entries, err = tomlEntries(string(text))
	case ".csv":
		entries, err = csvEntries(string(text))
	default:
		err = errors.New("its name must end in .toml or .csv")
	}
	for _, e := range entries {
		if err == nil {
			err = h.put(c, e)
		}
	}
	if err != nil {
		return fmt.Errorf("read %s: %w", filepath.Base(h.from), err)
	}
	return nil
}

// put hands an entry to its reading.
func (h *hand) put(c *cobra.Command, e entry) error {
	name := strings.NewReplacer("_", "-", " ", "-").Replace(strings.ToLower(strings.TrimSpace(e.name)))
	i := slices.IndexFunc(h.readings, func(r *reading) bool { return r.Name == name })
	if i < 0 {
		return fmt.Errorf("%s: there is no reading %q; there is %s", e.where, e.name, strings.Join(h.names(), ", "))
	}
	r := h.readings[i]
	if c.Flags().Changed(r.Name) {
		return nil
	}
	if r.text != "" {
		return fmt.Errorf("%s: %s is given twice", e.where, r.Name)
	}
	if r.text = strings.TrimSpace(e.text); r.text == "" {
		return fmt.Errorf("%s: %s: nothing is written there: give the reading or leave the line out", e.where, r.Name)
	}
	if err := r.read(); err != nil {
		return fmt.Errorf("%s: %s: %w", e.where, r.Name, err)
	}
	return nil
}

// names are those of all readings.
func (h *hand) names() []string {
	var all []string
	for _, r := range h.readings {
		all = append(all, r.Name)
	}
	return all
}

// tomlEntries reads a TOML file of strings, in order of their keys.
func tomlEntries(text string) ([]entry, error) {
	var table map[string]any
	meta, err := toml.Decode(text, &table)
	if err != nil {
		if parse, ok := errors.AsType[toml.ParseError](err); ok {
			return nil, fmt.Errorf("line %d: %s", parse.Position.Line, parse.Message)
		}
		return nil, err
	}
	var entries []entry
	for _, key := range meta.Keys() {
		s, ok := table[key[0]].(string)
		if !ok || len(key) != 1 {
			return nil, fmt.Errorf("key %s: write the reading with its unit in quotes, as in %s = \"71.2 cm\"", key, key[0])
		}
		entries = append(entries, entry{"key " + key[0], key[0], s})
	}
	return entries, nil
}

// csvEntries reads a CSV file of two columns, divided by commas or, where the decimal
// sign is a comma, by semicolons. A header row is welcome, not needed.
func csvEntries(text string) ([]entry, error) {
	r := quantity.Table(text)
	r.FieldsPerRecord = -1
	var entries []entry
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			return entries, nil
		}
		if err != nil {
			return nil, err
		}
		line, _ := r.FieldPos(0)
		if len(record) != 2 {
			return nil, fmt.Errorf("line %d: %d columns: must be two, quantity and reading; put a reading with a decimal comma in quotes", line, len(record))
		}
		if len(entries) == 0 && record[0] == "quantity" && record[1] == "reading" {
			continue
		}
		entries = append(entries, entry{fmt.Sprintf("line %d", line), record[0], record[1]})
	}
}
