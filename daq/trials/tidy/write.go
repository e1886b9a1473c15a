package tidy

import (
	"encoding/csv"
	"io"

	"joulewell/daq/trials/kept"
)

// Header names the columns.
func Header() []string {
	var names []string
	for _, c := range before {
		names = append(names, c.name)
	}
	for _, key := range quantities {
		names = append(names, key, "u_"+key)
	}
	for _, c := range after {
		names = append(names, c.name)
	}
	for _, key := range quantities {
		names = append(names, "u_shared_"+key)
	}
	return names
}

// Write writes the table, a header and one row a trial.
func Write(out io.Writer, all []kept.Kept) error {
	w := csv.NewWriter(out)
	w.Write(Header())
	for i := range all {
		for index := range all[i].Trials {
			w.Write(fields(place{&all[i], index, &all[i].Trials[index]}))
		}
	}
	w.Flush()
	return w.Error()
}

func fields(p place) (line []string) {
	for _, c := range before {
		line = append(line, c.get(p))
	}
	for _, key := range quantities {
		value, u := estimate(p.row.Quantity(key))
		line = append(line, value, u)
	}
	for _, c := range after {
		line = append(line, c.get(p))
	}
	for _, key := range quantities {
		line = append(line, shared(p.row, key))
	}
	return line
}
