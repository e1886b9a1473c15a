package forget

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
)

// blank returns a JSON text in which every string that stands under a key is empty, and
// the strings that were. All other bytes stay.
func blank(text []byte, key string) (out []byte, taken []string, err error) {
	d := json.NewDecoder(bytes.NewReader(text))
	w := walker{d: d, key: key}
	kept := 0
	for {
		before := int(d.InputOffset())
		t, err := d.Token()
		if errors.Is(err, io.EOF) && len(w.open) == 0 && before > 0 {
			return append(out, text[kept:]...), taken, nil
		}
		if err != nil {
			return nil, nil, fmt.Errorf("%w: %w", errJSON, err)
		}
		value, ok := t.(string)
		if !w.step(t) || !ok || value == "" {
			continue
		}
		// The token begins after colon and blanks, which lie behind the one before.
		begin := before + bytes.IndexByte(text[before:], '"')
		out = append(append(out, text[kept:begin]...), `""`...)
		kept = int(d.InputOffset())
		taken = append(taken, value)
	}
}

// walker follows a JSON text token by token.
type walker struct {
	d    *json.Decoder
	key  string
	open []byte // the brackets that are open
	name bool   // the next string of this object is a name
	ours bool   // the value to come stands under the key
}

// step takes a token and reports whether it is a value under the key.
func (w *walker) step(t json.Token) bool {
	ours := w.ours
	w.ours = false
	if b, ok := t.(json.Delim); ok {
		if b == '{' || b == '[' {
			w.open = append(w.open, byte(b))
		} else {
			w.open = w.open[:len(w.open)-1]
		}
		w.name = len(w.open) > 0 && w.open[len(w.open)-1] == '{'
		return false
	}
	if w.name {
		text, _ := t.(string)
		w.name, w.ours = false, strings.EqualFold(text, w.key) // as the reader of these files takes it
		return false
	}
	w.name = len(w.open) > 0 && w.open[len(w.open)-1] == '{'
	return ours
}
