package virtual

// rateFaults let the host listen at another bit rate than the device's.
var rateFaults = []spec{
	{
		Fault: Fault{"half-rate", "for this long the host hears at half the device's bit rate", 1, "s"},
		kind:  event,
		line:  misheardAt(2, 4),
	},
	{
		Fault: Fault{"double-rate", "for this long the host hears at twice the device's bit rate", 1, "s"},
		kind:  event,
		line:  misheardAt(4, 2),
	},
}

func misheardAt(sent, heard int) func(*active, *Device, []byte) []byte {
	return func(f *active, d *Device, line []byte) []byte {
		if d.now >= f.until {
			return line
		}
		return misheard(line, sent, heard)
	}
}

// misheard returns what a receiver makes of bytes that follow each other without a pause,
// when a bit lasts sent quarters of something and the receiver takes it to last heard,
// both even. A byte is a start bit of 0, eight bits from the lowest on, a stop bit of 1, as
// ever on such lines; a receiver wakes at a fall, looks at the middle of each bit, and
// hands over what it has even where there was no stop bit, as Linux does unless told
// otherwise (from memory).
func misheard(bytes []byte, sent, heard int) []byte {
	level := func(t int) bool {
		n := t / sent
		if n/10 >= len(bytes) {
			return true // at rest
		}
		switch bit := n % 10; bit {
		case 0:
			return false
		case 9:
			return true
		default:
			return bytes[n/10]>>(bit-1)&1 == 1
		}
	}
	var out []byte
	end := 10 * sent * len(bytes)
	for t, was := 0, true; t < end; t++ {
		now := level(t)
		if !was || now {
			was = now
			continue
		}
		if level(t + heard/2) { // too short for a start
			continue
		}
		var b byte
		for bit := range 8 {
			if level(t + heard/2 + (bit+1)*heard) {
				b |= 1 << bit
			}
		}
		out = append(out, b)
		t += heard/2 + 9*heard // the middle of the stop bit
		was = level(t)
	}
	return out
}
