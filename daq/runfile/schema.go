package runfile

import (
	"slices"

	"joulewell/daq/frame"
)

// Schema describes the columns, in file order.
type Schema struct {
	Columns    []Column `json:"columns"`
	PrimaryKey []string `json:"primaryKey"` // the columns that together tell rows apart
}

// Column describes one column. CSV on the Web has no property for units: the unit
// is given in words, as a UCUM code, and where QUDT has it, by QUDT's address under
// the attribute that statistical tables use for it.
type Column struct {
	Name        string   `json:"name"`
	Titles      string   `json:"titles"` // the header's text, the same as Name
	Description string   `json:"dc:description"`
	Datatype    Datatype `json:"datatype"`
	Required    bool     `json:"required"`
	Null        string   `json:"null"` // what stands for an absent value
	Separator   string   `json:"separator,omitempty"`
	Kind        string   `json:"https://joulewell.example/ns#kind"` // key, raw, derived or flags
	Unit        string   `json:"https://joulewell.example/ns#ucum,omitempty"`
	Measure     *Link    `json:"http://purl.org/linked-data/sdmx/2009/attribute#unitMeasure,omitempty"`
}

// Datatype is a column's type, by the names of XML Schema.
type Datatype struct {
	Base string `json:"base"`
}

// Link is the address of something described elsewhere.
type Link struct {
	ID string `json:"@id"`
}

// qudt gives the last part of QUDT's address for a UCUM code. QUDT has no hundredth
// of a degree.
var qudt = map[string]string{
	"s": "SEC", "us": "MicroSEC", "m": "M", "mm": "MilliM", "m/s": "M-PER-SEC",
	"N": "N", "J": "J", "%": "PERCENT",
}

func currentSchema() Schema {
	key := func(name, base, unit, title string) Column {
		c := describeColumn(name, base, unit, title, "key")
		c.Required = true
		return c
	}
	list := []Column{
		key(timeName, "decimal", "s", "time of the reading since the run's start, negative before it"),
		key(epochName, "unsignedInt", "", "how often the device was opened or restarted before this reading"),
		key(seqName, "unsignedInt", "", "line number by the device, starts again at 0 after 65535 or 4294967295"),
		key(deviceName, "unsignedInt", "us", "time by the device's own clock, starts again at 0 after 4294967295"),
	}
	for _, c := range frame.Columns() {
		base, kind := "decimal", "derived"
		if c.Kind == frame.Raw {
			base, kind = "double", "raw"
		}
		list = append(list, describeColumn(c.Name, base, c.Unit, c.Title, kind))
	}
	flags := describeColumn(flagsName, "string", "", "what is odd about this reading, words with single spaces between them", "flags")
	flags.Separator = " "
	return Schema{
		Columns: append(list, flags),
		// Line numbers alone come round again within a run.
		PrimaryKey: []string{epochName, timeName, seqName},
	}
}

func describeColumn(name, base, unit, title, kind string) Column {
	c := Column{Name: name, Titles: name, Description: title, Datatype: Datatype{base}, Kind: kind, Unit: unit}
	if unit != "" {
		c.Description += " [" + unit + "]"
	}
	if q := qudt[unit]; q != "" {
		c.Measure = &Link{"http://qudt.org/vocab/unit/" + q}
	}
	return c
}

// schemaOf describes a file of another version of this program by its header.
func schemaOf(header []string) Schema {
	s := currentSchema()
	known := s.Columns
	s.Columns = nil
	for _, name := range header {
		c := describeColumn(name, "string", "", "not known to this version", "unknown")
		if i := slices.IndexFunc(known, func(k Column) bool { return k.Name == name }); i >= 0 {
			c = known[i]
		}
		s.Columns = append(s.Columns, c)
	}
	return s
}
