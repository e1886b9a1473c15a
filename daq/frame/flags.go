package frame

var flagWords = [...]string{"gap", "outlier", "no-echo", "no-motion", "out-of-range", "new-epoch"}

// Words appends the words for f to dst, separated by single spaces.
func (f Flags) Words(dst []byte) []byte {
	first := true
	for i, w := range flagWords {
		if f&(1<<i) == 0 {
			continue
		}
		if !first {
			dst = append(dst, ' ')
		}
		dst = append(dst, w...)
		first = false
	}
	return dst
}

// ParseFlags is the inverse of [Flags.Words]. It reports false for an unknown word.
func ParseFlags(s string) (Flags, bool) {
	var f Flags
	for len(s) > 0 {
		word := s
		if i := indexSpace(s); i >= 0 {
			word, s = s[:i], s[i+1:]
		} else {
			s = ""
		}
		known := false
		for i, w := range flagWords {
			if w == word {
				f |= 1 << i
				known = true
			}
		}
		if !known {
			return f, false
		}
	}
	return f, true
}

func indexSpace(s string) int {
	for i := range len(s) {
		if s[i] == ' ' {
			return i
		}
	}
	return -1
}
