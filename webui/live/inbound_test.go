package live

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"strconv"
	"testing"
	"unicode/utf8"
)

func TestParseInbound(t *testing.T) {
	for _, c := range []struct {
		text string
		kind inbound
		seq  uint32
	}{
		{`{"type":"ack","seq":1042}`, acked, 1042},
		{` {"seq":0,"type":"ack","more":[1]} `, acked, 0},
		{`{"type":"ack","seq":4294967295}`, acked, 4294967295},
		{`{"type":"ack","seq":4294967296}`, ignored, 0},
		{`{"type":"ack","seq":-1}`, ignored, 0},
		{`{"type":"ack","seq":null}`, ignored, 0},
		{`{"type":"ack"}`, ignored, 0},
		{`{"type":"freeze"}`, ignored, 0},
		{`{"type":7}`, ignored, 0},
		{`{}`, ignored, 0},
		{``, malformed, 0},
		{`null`, malformed, 0},
		{`[]`, malformed, 0},
		{`{"type":"ack","seq":1`, malformed, 0},
		{`{"type":"ack","seq":1}{}`, malformed, 0},
		{"{\"type\":\"\xff\"}", malformed, 0},
	} {
		if kind, seq := parseInbound([]byte(c.text)); kind != c.kind || kind == acked && seq != c.seq {
			t.Errorf("%s: kind %d, seq %d; want %d, %d", c.text, kind, seq, c.kind, c.seq)
		}
	}
}

// FuzzClientMessage: a message is malformed exactly when it is not a JSON object in
// valid UTF-8, and one taken for an acknowledgement says so when a general reader
// decodes it.
func FuzzClientMessage(f *testing.F) {
	for _, seed := range []string{
		`{"type":"ack","seq":1042}`, `{"type":"ack","n":3}`, `{"type":"ack","seq":1e3}`, `{"TYPE":"ack","Seq":1}`,
		`{"type":"ack","type":"x","seq":1}`, `{"type":"ack","seq":1,"seq":"2"}`, `[]`, `null`, `{`, "", "\xff", `{"a":{"b":[[[]]]}}`,
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		kind, seq := parseInbound(data)
		var general any
		reader := json.NewDecoder(bytes.NewReader(data))
		reader.UseNumber() // a number that no float64 holds is JSON nonetheless
		err := reader.Decode(&general)
		if err == nil && reader.Decode(new(any)) != io.EOF {
			err = errors.New("more than one value")
		}
		object, isObject := general.(map[string]any)
		if wellFormed := err == nil && isObject && utf8.Valid(data); wellFormed == (kind == malformed) {
			t.Fatalf("%q: kind %d, but a JSON object: %v", data, kind, wellFormed)
		}
		if kind == acked && (object["type"] != "ack" || object["seq"] != json.Number(strconv.FormatUint(uint64(seq), 10))) {
			t.Fatalf("%q was taken for an acknowledgement of %d", data, seq)
		}
	})
}
