package webui

import (
	"fmt"
	"net/http"

	"joulewell/energy/balance"
	"joulewell/energy/quantity"
)

// balanceField is one reading that a comparison of two states may be given.
type balanceField struct {
	Name    string `json:"name"`
	Kind    string `json:"kind"`
	Unit    string `json:"unit"`
	Help    string `json:"help"`
	Reading string `json:"reading"` // what the bench goes by, as it can be sent back; empty = to be measured
}

// balanceFields tells what a comparison wants to know, and what the bench knows of it.
func (s *Server) balanceFields(w http.ResponseWriter, _ *http.Request) {
	var r balance.Readings
	r.Bench.Know(&s.options.Bench.Setup().Apparatus)
	fields := []balanceField{}
	for _, f := range new(quantity.Site).After(r.Fields()) {
		shown := balanceField{Name: f.Name, Kind: f.Kind.String(), Unit: f.Kind.Unit(), Help: f.Help}
		if q := f.To; q.Given() {
			shown.Reading = f.Kind.Text(q.Value, q.U) + " +- " + f.Kind.Text(q.U, q.U)
		}
		fields = append(fields, shown)
	}
	writeJSON(w, http.StatusOK, map[string]any{"fields": fields})
}

// balance compares two states by readings as a person writes them; what is not given is
// taken from the bench.
func (s *Server) balance(w http.ResponseWriter, r *http.Request) {
	var request struct {
		Readings map[string]string `json:"readings"`
		Swinging bool              `json:"swinging"`
	}
	if !readJSON(w, r, &request) {
		return
	}
	readings := balance.Readings{Swinging: request.Swinging}
	readings.Bench.Know(&s.options.Bench.Setup().Apparatus)
	var site quantity.Site
	if err := readFields(site.After(readings.Fields()), request.Readings); err != nil {
		refuse(w, http.StatusBadRequest, err.Error())
		return
	}
	if err := site.Tell(&readings.Bench, request.Readings["gravity"] != ""); err != nil {
		refuse(w, http.StatusUnprocessableEntity, err.Error())
		return
	}
	x, err := balance.Compare(readings, balance.Method{})
	if err != nil {
		refuse(w, http.StatusUnprocessableEntity, err.Error())
		return
	}
	writeJSON(w, http.StatusOK, x.Report())
}

// readFields reads the texts of fields by their names; an empty text takes away what was
// known. It refuses a name that no field has.
func readFields(fields []quantity.Field, texts map[string]string) error {
	known := map[string]bool{}
	for _, f := range fields {
		known[f.Name] = true
		switch text, given := texts[f.Name]; {
		case !given:
		case text == "":
			*f.To = quantity.Quantity{}
		default:
			if err := f.Read(text); err != nil {
				return fmt.Errorf("reading %s: %w", f.Name, err)
			}
		}
	}
	for name := range texts {
		if !known[name] {
			return fmt.Errorf("there is no reading %s: GET names them all", name)
		}
	}
	return nil
}
