package upkeep

import (
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"

	"joulewell/energy"
	"joulewell/energy/quantity"
)

// Point is one thing that was read while the bench was at rest. Texts are as typed.
type Point struct {
	At       float64         // [s] since the first point
	Load     string          // force and spring: what hung, see [Cabinet]
	Rule     string          // distance: height of the bob's lowest point; spring: length between its ends
	Period   string          // spring, by its swing: of one whole oscillation
	Reading  energy.Estimate // [counts], [N], [us] or [mm] mean indication of the rest, for force and distance
	Readings int             // [1] in it
	Hold     float64         // [s] since this load, the largest, hung and was left alone, for creep; 0 = a point like any other
	Noise    float64         // [indication] standard deviation of one of them; 0 = not known
}

// Indication says what the numbers of a sensor are.
type Indication string

// The indications.
const (
	Counts      Indication = "counts"
	Newtons     Indication = "N"
	Microsecs   Indication = "us"
	Millimetres Indication = "mm"
)

// Table is what was read for a calibration.
type Table struct {
	Kind       Kind
	Indication Indication // of force or distance
	Points     []Point
	Sound      energy.Estimate // [m/s] speed of sound meanwhile; zero = by the bench's air
}

// columns are the columns of a file of points: all must be there, one of a list at least.
var columns = map[Kind]struct {
	need    []string
	reading map[string]Indication
	others  []string
}{
	Force: {[]string{"load_g"}, map[string]Indication{"reading_counts": Counts, "reading_N": Newtons},
		[]string{"time_s", "hold_s", "reading_u_counts", "reading_u_N"}},
	Distance: {[]string{"height_mm"}, map[string]Indication{"reading_us": Microsecs, "reading_mm": Millimetres},
		[]string{"reading_u_us", "reading_u_mm"}},
	Spring: {[]string{"load_g"}, nil, []string{"length_mm", "period_s"}},
}

// ReadTable reads a file of points. Cells are plain numbers in the unit of their column,
// or say their own unit and uncertainty, as in "158.5 mm +- 0.3 mm"; loads may also name
// check masses.
func ReadTable(path string, k Kind) (Table, error) {
	file, err := os.Open(path)
	if err != nil {
		return Table{}, fmt.Errorf("read the points: %w", err)
	}
	defer file.Close()
	t, err := parseTable(file, k)
	if err != nil {
		return Table{}, fmt.Errorf("read %s: %w", filepath.Base(path), err)
	}
	return t, nil
}

func parseTable(from io.Reader, k Kind) (Table, error) {
	c, known := columns[k]
	if !known {
		return Table{}, fmt.Errorf("the %s is not calibrated from points", k.Part())
	}
	others := append([]string{}, c.others...)
	for name := range c.reading {
		others = append(others, name)
	}
	rows, err := readTable(from, c.need, others)
	if err != nil {
		return Table{}, err
	}
	t := Table{Kind: k}
	for i := range rows {
		row := &rows[i]
		p := Point{At: float64(i)}
		if row.cell["time_s"] != "" {
			p.At = row.number("time_s")
		}
		p.Hold = row.number("hold_s")
		p.Load = loadWithUnit(row.cell["load_g"])
		switch k {
		case Distance:
			p.Rule = withUnit(row.cell["height_mm"], "mm")
		case Spring:
			p.Rule, p.Period = withUnit(row.cell["length_mm"], "mm"), withUnit(row.cell["period_s"], "s")
			if (p.Rule == "") == (p.Period == "") {
				return Table{}, fmt.Errorf("line %d: a point of a spring has a length or a period, one of both", row.line)
			}
		}
		for name, indication := range c.reading {
			if row.cell[name] == "" {
				continue
			}
			if t.Indication != "" && t.Indication != indication {
				return Table{}, fmt.Errorf("line %d: readings in %s and in %s: must be the same throughout", row.line, t.Indication, indication)
			}
			t.Indication = indication
			p.Reading = energy.Estimate{Value: row.number(name), U: row.number("reading_u_" + string(indication))}
			p.Readings = 1
		}
		if c.reading != nil && p.Readings == 0 {
			return Table{}, fmt.Errorf("line %d: no reading", row.line)
		}
		if row.err != nil {
			return Table{}, row.err
		}
		t.Points = append(t.Points, p)
	}
	return t, nil
}

// withUnit adds the unit of a column to a plain number.
func withUnit(cell, unit string) string {
	if cell == "" || strings.ContainsFunc(cell, func(r rune) bool { return r >= 'a' && r <= 'z' && r != 'e' || r >= 'A' && r <= 'Z' && r != 'E' }) {
		return cell
	}
	return cell + " " + unit
}

// loadWithUnit does so for each piece of a load.
func loadWithUnit(cell string) string {
	if cell == "" {
		return ""
	}
	parts := terms(cell)
	for i := range parts {
		if parts[i] != "0" {
			parts[i] = withUnit(parts[i], "g")
		}
	}
	return strings.Join(parts, " + ")
}

// record is a point as it is kept in a book.
func (t *Table) record(p *Point) map[string]any {
	m := map[string]any{}
	put := func(key string, value any) {
		if value != "" {
			m[key] = value
		}
	}
	switch t.Kind {
	case Force, Distance:
		m["reading_"+string(t.Indication)], m["reading_u_"+string(t.Indication)] = p.Reading.Value, p.Reading.U
		m["time_s"] = math.Round(10*p.At) / 10
	}
	if p.Hold > 0 {
		m["hold_s"] = p.Hold
	}
	put("load", p.Load)
	if t.Kind == Distance {
		put("height", p.Rule)
	} else {
		put("length", p.Rule)
	}
	put("period", p.Period)
	return m
}

// length reads a length as typed; not given = not known.
func length(text, what string) (energy.Estimate, error) {
	if text == "" {
		return energy.None(), nil
	}
	q, err := quantity.Parse(text, quantity.Length)
	if err != nil {
		return energy.Estimate{}, fmt.Errorf("%s: %w", what, err)
	}
	return q.Estimate, nil
}

// period reads a period as typed.
func period(text string) (energy.Estimate, error) {
	q, err := quantity.Parse(text, quantity.Time)
	if err != nil {
		return energy.Estimate{}, fmt.Errorf("period: %w", err)
	}
	return q.Estimate, nil
}
