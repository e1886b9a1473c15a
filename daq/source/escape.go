package source

import (
	"fmt"
	"strconv"
)

// Recorded bytes that are not printable ASCII, and the backslash, are escaped.
var (
	escapes   = map[byte]byte{'\\': '\\', '\n': 'n', '\r': 'r', '\t': 't'}
	unescapes = map[byte]byte{'\\': '\\', 'n': '\n', 'r': '\r', 't': '\t'}
)

func appendEscaped(dst, text []byte) []byte {
	for _, b := range text {
		letter, short := escapes[b]
		switch {
		case short:
			dst = append(dst, '\\', letter)
		case b < ' ' || b > '~':
			dst = fmt.Appendf(dst, `\x%02x`, b)
		default:
			dst = append(dst, b)
		}
	}
	return dst
}

func unescape(s string) ([]byte, error) {
	out := make([]byte, 0, len(s))
	for i := 0; i < len(s); i++ {
		if s[i] != '\\' {
			out = append(out, s[i])
			continue
		}
		i++
		if i == len(s) {
			return nil, fmt.Errorf(`text ends in a backslash: want \\, \n, \r, \t or \xHH`)
		}
		if b, short := unescapes[s[i]]; short {
			out = append(out, b)
			continue
		}
		hex := s[i+1 : min(i+3, len(s))]
		b, err := strconv.ParseUint(hex, 16, 8)
		if s[i] != 'x' || len(hex) != 2 || err != nil {
			return nil, fmt.Errorf(`text has \%c%s: want \\, \n, \r, \t or \xHH`, s[i], hex)
		}
		out = append(out, byte(b))
		i += 2
	}
	return out, nil
}
