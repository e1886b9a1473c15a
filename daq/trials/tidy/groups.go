package tidy

import (
	"encoding/csv"
	"io"
	"slices"
	"strconv"

	"joulewell/daq/trials/table"
)

// WriteGroups writes one row a group, for a mark book: what it found of each quantity, the
// expanded uncertainty U of that (95 %), and by how many of those it lies from the
// weighted mean of all, which is a row of its own at the end.
func WriteGroups(out io.Writer, c *table.Class) error {
	w := csv.NewWriter(out)
	header := []string{"group", "bench", "trials"}
	for i := range c.Quantities {
		key := c.Quantities[i].Key
		header = append(header, key, "U_"+key, "away_"+key)
	}
	w.Write(header)
	for _, label := range groupsOf(c) {
		line := []string{guard(label), "", ""}
		most := 0
		for i := range c.Quantities {
			q := &c.Quantities[i]
			at := slices.IndexFunc(q.Groups, func(f table.Found) bool { return f.Label == label })
			if at < 0 {
				line = append(line, "", "", "")
				continue
			}
			f := &q.Groups[at]
			line[1], most = guard(f.Bench), max(most, f.N)
			away := ""
			if q.Mean != nil && f.U > 0 {
				away = number((f.Mean - *q.Mean) / f.U)
			}
			line = append(line, number(f.Mean), number(f.U), away)
		}
		line[2] = strconv.Itoa(most)
		w.Write(line)
	}
	all := []string{"weighted mean of all", "", ""}
	for i := range c.Quantities {
		if q := &c.Quantities[i]; q.Mean != nil {
			all = append(all, number(*q.Mean), number(q.U), "")
		} else {
			all = append(all, "", "", "")
		}
	}
	w.Write(all)
	w.Flush()
	return w.Error()
}

// groupsOf lists the groups in the order in which they come.
func groupsOf(c *table.Class) (labels []string) {
	for i := range c.Quantities {
		for _, f := range c.Quantities[i].Groups {
			if !slices.Contains(labels, f.Label) {
				labels = append(labels, f.Label)
			}
		}
	}
	return labels
}
