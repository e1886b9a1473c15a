package live

import (
	"encoding/json"
	"unicode/utf8"
)

// maxInbound bounds a client's message.
const maxInbound = 4096 // [byte]

// inbound is what a client's message turns out to be.
type inbound uint8

const (
	malformed inbound = iota // not a JSON object: the connection ends
	ignored                  // a type that this version does not know: counted
	acked                    // an acknowledgement
)

// parseInbound reads a client's message. seq has a meaning only when it is acked.
func parseInbound(data []byte) (kind inbound, seq uint32) {
	if !utf8.Valid(data) {
		return malformed, 0
	}
	var fields map[string]json.RawMessage
	if json.Unmarshal(data, &fields) != nil || fields == nil {
		return malformed, 0
	}
	var typ string
	if json.Unmarshal(fields["type"], &typ) != nil || typ != "ack" {
		return ignored, 0
	}
	var n *uint32
	if json.Unmarshal(fields["seq"], &n) != nil || n == nil {
		return ignored, 0
	}
	return acked, *n
}
