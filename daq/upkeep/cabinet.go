package upkeep

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"joulewell/calib/air"
	"joulewell/calib/masses"
	"joulewell/daq/setup"
	"joulewell/energy"
	"joulewell/energy/quantity"
)

// Cabinet holds the check masses of a laboratory. Loads are written as in "A + B" by the
// names of pieces, or as what was weighed: "100.0 g", "250.10g +- 0.02g".
type Cabinet struct{ set masses.Set }

// NewCabinet returns a cabinet of pieces at a bench, whose gravity and air it takes.
func NewCabinet(f *setup.File, pieces []masses.Piece) (*Cabinet, error) {
	density, err := air.At(f.Bench.Calibration.Air.Temperature).Density()
	if err != nil {
		return nil, fmt.Errorf("density of the air: %w", err)
	}
	return &Cabinet{masses.Set{Pieces: pieces, Gravity: f.Bench.Apparatus.Gravity, Air: density}}, nil
}

// steelOrBrass is the density of a piece that nobody said what it is made of.
var steelOrBrass = energy.Estimate{Value: 8000, U: 300} // [kg/m3]

// load returns the names of the pieces of a load, and takes in what was weighed for it.
// Nothing, "none" and "0" are no load.
func (c *Cabinet) load(text string) ([]string, error) {
	text = strings.TrimSpace(text)
	if text == "" || strings.EqualFold(text, "none") || text == "0" || text == "0 g" {
		return nil, nil
	}
	var names []string
	for _, term := range terms(text) {
		if !c.has(term) {
			q, err := quantity.Parse(term, quantity.Mass)
			if err != nil {
				return nil, fmt.Errorf("load %q: there is no check mass called so; %w", term, err)
			}
			c.set.Pieces = append(c.set.Pieces, masses.Piece{
				Name: term, Mass: q.Estimate, Conventional: true, Density: steelOrBrass,
			})
		}
		names = append(names, term)
	}
	return names, nil
}

func (c *Cabinet) has(name string) bool {
	for _, p := range c.set.Pieces {
		if p.Name == name {
			return true
		}
	}
	return false
}

// terms splits a load at its plus signs, those of "+-" left alone.
func terms(text string) []string {
	const pair = "\x00"
	text = strings.ReplaceAll(text, "+-", pair)
	var list []string
	for part := range strings.SplitSeq(text, "+") {
		list = append(list, strings.TrimSpace(strings.ReplaceAll(part, pair, "+-")))
	}
	return list
}

// ReadPieces reads the file of a laboratory's check masses: CSV with a header, columns
// piece, mass_g, mass_u_g and, where known, material or density_kg_m3 and
// density_u_kg_m3, conventional (yes, which is also what counts where nothing stands, or
// no) and compared_with, the name of what several were compared with.
func ReadPieces(path string) ([]masses.Piece, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("read the check masses: %w", err)
	}
	defer file.Close()
	pieces, err := parsePieces(file)
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", filepath.Base(path), err)
	}
	return pieces, nil
}

func parsePieces(from io.Reader) ([]masses.Piece, error) {
	rows, err := readTable(from, []string{"piece", "mass_g", "mass_u_g"},
		[]string{"material", "density_kg_m3", "density_u_kg_m3", "conventional", "compared_with"})
	if err != nil {
		return nil, err
	}
	var pieces []masses.Piece
	for _, row := range rows {
		p := masses.Piece{Name: row.cell["piece"], Conventional: true, Density: steelOrBrass, Reference: row.cell["compared_with"]}
		const gram = 1e-3
		p.Mass.Value, p.Mass.U = gram*row.number("mass_g"), gram*row.number("mass_u_g")
		if m := row.cell["material"]; m != "" {
			density, known := masses.Density(m)
			if !known {
				return nil, fmt.Errorf("line %d: material %q is not known here: give density_kg_m3 and density_u_kg_m3", row.line, m)
			}
			p.Density = density
		}
		if row.cell["density_kg_m3"] != "" {
			p.Density = energy.Estimate{Value: row.number("density_kg_m3"), U: row.number("density_u_kg_m3")}
		}
		switch row.cell["conventional"] {
		case "", "yes":
		case "no":
			p.Conventional = false
		default:
			return nil, fmt.Errorf("line %d: conventional = %q: must be yes or no", row.line, row.cell["conventional"])
		}
		if row.err != nil {
			return nil, row.err
		}
		pieces = append(pieces, p)
	}
	set := masses.Set{Pieces: pieces, Gravity: energy.Estimate{Value: 9.8}}
	return pieces, set.Check()
}

// tableRow is a line of a table with a header.
type tableRow struct {
	line int
	cell map[string]string
	err  error // first cell that holds no number
}

// number reads a cell as a number, 0 where nothing stands.
func (r *tableRow) number(column string) float64 {
	text := r.cell[column]
	if text == "" {
		return 0
	}
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil && r.err == nil {
		r.err = fmt.Errorf("line %d: %s = %q: must be a number", r.line, column, text)
	}
	return v
}

// readTable reads CSV, commas or semicolons between the cells, with a header that holds
// all of need and may hold others.
func readTable(from io.Reader, need, others []string) ([]tableRow, error) {
	text, err := io.ReadAll(from)
	if err != nil {
		return nil, err
	}
	r := quantity.Table(string(text))
	header, err := r.Read()
	if err == io.EOF {
		return nil, fmt.Errorf("nothing in it: the first line names the columns, %s", strings.Join(need, ", "))
	}
	if err != nil {
		return nil, err
	}
	known := map[string]bool{}
	for _, name := range append(append([]string{}, need...), others...) {
		known[name] = true
	}
	seen := map[string]bool{}
	for i, name := range header {
		header[i] = strings.TrimSpace(name)
		if !known[header[i]] || seen[header[i]] {
			return nil, fmt.Errorf("line 1: column %q is unknown or doubled: columns are %s; and where needed %s", name, strings.Join(need, ", "), strings.Join(others, ", "))
		}
		seen[header[i]] = true
	}
	for _, name := range need {
		if !seen[name] {
			return nil, fmt.Errorf("line 1: column %s is missing", name)
		}
	}
	var rows []tableRow
	for {
		record, err := r.Read()
		if err == io.EOF {
			return rows, nil
		}
		if err != nil {
			return nil, err
		}
		line, _ := r.FieldPos(0)
		row := tableRow{line: line, cell: map[string]string{}}
		for i, name := range header {
			row.cell[name] = strings.TrimSpace(record[i])
		}
		rows = append(rows, row)
	}
}
