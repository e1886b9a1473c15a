package setup

import (
	"fmt"
	"strings"

	"github.com/BurntSushi/toml"
)

// Lay returns f with values laid over it, each by its key in a bench file. It refuses
// what [Parse] would refuse in a file.
func (f File) Lay(values map[string]any) (File, error) {
	text, err := toml.Marshal(values)
	if err != nil {
		return File{}, fmt.Errorf("lay %d values over the bench: %w", len(values), err)
	}
	over, _, err := lay(f, string(text))
	if err != nil {
		_, what, _ := strings.Cut(err.Error(), ": ") // no line of any file
		return File{}, fmt.Errorf("lay values over the bench: %s", what)
	}
	return over, over.check(nil)
}

// Pick returns numbers of f by their keys. Keys that name no number are left out.
func (f *File) Pick(names ...string) map[string]float64 {
	var none keys
	values := map[string]float64{}
	for _, q := range none.quantities(f) {
		for _, name := range names {
			if q.key == name {
				values[name] = *q.to / q.factor
			}
		}
	}
	return values
}

// lay decodes the text of a bench file and lays it over base.
func lay(base File, text string) (File, toml.MetaData, error) {
	var k keys
	meta, err := toml.Decode(text, &k)
	if err != nil {
		return File{}, meta, decodeError(err, text)
	}
	lines := lineNumbers(text)
	if unknown := meta.Undecoded(); len(unknown) > 0 {
		key := unknown[0].String()
		return File{}, meta, fmt.Errorf("line %d: %s: there is no such key%s", lines[unknown[0][0]], key, nearest(key))
	}
	for _, q := range k.quantities(&base) {
		if q.from == nil {
			continue
		}
		if err := sane(q); err != nil {
			return File{}, meta, fmt.Errorf("line %d: %w", lines[q.key], err)
		}
		*q.to = *q.from * q.factor
	}
	k.words(&base)
	if err := k.curve(&base); err != nil {
		return File{}, meta, fmt.Errorf("line %d: %w", max(lines["spring_curve_mm"], lines["spring_curve_N"]), err)
	}
	return base, meta, nil
}
