package wire

import (
	"bytes"
	"fmt"
	"strings"
)

// MaxFields is the largest number of columns on a line [1].
const MaxFields = 16

// MaxName is the longest name of a column [bytes].
const MaxName = 32

// ignored stands for a column of unknown name after the first four.
const ignored = ColumnCount

// layout says which value of a data line belongs to which column. It is immutable
// once made, so its names may be handed out.
type layout struct {
	names  []string
	column [MaxFields]Column // ignored where the value is not kept
	others [otherCount]string
}

// newLayout makes a layout from names separated by commas.
func newLayout(list string) (layout, Reason) {
	var l layout
	if list == "" {
		return l, FieldsNone
	}
	if strings.Count(list, ",") >= MaxFields {
		return l, FieldsTooMany
	}
	hasTime, others := false, 0
	for i, name := range strings.Split(list, ",") {
		if !validName(name) {
			return l, FieldsBadName
		}
		for _, n := range l.names {
			if n == name {
				return l, FieldsTwice
			}
		}
		l.names = append(l.names, name)
		c, known := ColumnByName(name)
		switch {
		case known:
			hasTime = hasTime || c == DeviceUs
		case others < otherCount:
			l.others[others] = name
			c = Other1 + Column(others)
			others++
		default:
			c = ignored
		}
		l.column[i] = c
	}
	if !hasTime {
		return l, FieldsNoTime
	}
	return l, NoReason
}

// spells reports whether list names the columns of l, without allocating: devices
// repeat their names every few seconds.
func (l *layout) spells(list []byte) bool {
	for i, n := range l.names {
		if i > 0 {
			if len(list) == 0 || list[0] != ',' {
				return false
			}
			list = list[1:]
		}
		if len(list) < len(n) || string(list[:len(n)]) != n {
			return false
		}
		list = list[len(n):]
	}
	return len(list) == 0 && len(l.names) > 0
}

func validName(name string) bool {
	for i := range len(name) {
		c := name[i]
		if c != '_' && (c < '0' || c > '9') && (c|0x20 < 'a' || c|0x20 > 'z') {
			return false
		}
	}
	return 0 < len(name) && len(name) <= MaxName
}

// configured makes the layout of Options.Fields; none at all is fine, the device
// will name them.
func configured(names []string) (layout, error) {
	if len(names) == 0 {
		return layout{}, nil
	}
	l, why := newLayout(strings.Join(names, ","))
	if why != NoReason {
		return layout{}, fmt.Errorf("name columns %q: %s: up to %d different names of letters, digits and _, with t_us among them, would pass",
			names, why, MaxFields)
	}
	return l, nil
}

var fieldsWord, virtualWord = []byte("#fields"), []byte("#virtual")

// begins reports whether the first word of line is word.
func begins(line, word []byte) bool {
	return bytes.HasPrefix(line, word) && (len(line) == len(word) || line[len(word)] == ' ')
}

// fields takes the names of a #fields line.
func (d *Decoder) fields(line []byte) Outcome {
	body, _, why := unseal(line)
	if why != NoReason {
		return d.refuse(why)
	}
	list := bytes.TrimPrefix(body[len(fieldsWord):], []byte(" "))
	if !d.now.spells(list) {
		l, why := newLayout(string(list))
		if why != NoReason {
			return d.refuse(why)
		}
		d.now = l
	}
	d.counts.FieldLines++
	return Fields
}
