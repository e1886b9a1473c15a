package wire

// Checksum returns the XOR of all bytes of b, as NMEA 0183 sums the bytes between $
// and *.
func Checksum(b []byte) byte {
	var sum byte
	for _, c := range b {
		sum ^= c
	}
	return sum
}

// unseal takes the checksum off a line and checks it, and that all bytes are
// printable ASCII. sealed tells whether there was one.
func unseal(line []byte) (body []byte, sealed bool, why Reason) {
	var sum byte
	for i, c := range line {
		if c == '*' {
			if len(line)-i != 3 || !isSum(line[i+1:], sum) {
				return nil, false, BadChecksum
			}
			return line[:i], true, NoReason
		}
		if !printable(c) {
			return nil, false, NotASCII
		}
		sum ^= c
	}
	return line, false, NoReason
}

func printable(c byte) bool { return c-' ' <= '~'-' ' }

const hexDigits = "0123456789ABCDEF"

// isSum reports whether two hexadecimal digits of either case spell sum.
func isSum(digits []byte, sum byte) bool {
	return upper(digits[0]) == hexDigits[sum>>4] && upper(digits[1]) == hexDigits[sum&15]
}

func upper(c byte) byte {
	if 'a' <= c && c <= 'f' {
		return c - ('a' - 'A')
	}
	return c
}

// seal appends the checksum of dst from index from on, and LF.
func seal(dst []byte, from int) []byte {
	sum := Checksum(dst[from:])
	return append(dst, '*', hexDigits[sum>>4], hexDigits[sum&15], '\n')
}
