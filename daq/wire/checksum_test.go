package wire

import "testing"

func TestChecksum(t *testing.T) {
	for _, c := range []struct {
		body string
		want byte
	}{
		// NMEA 0183 sentences without $ and sum, as printed in the documentation and
		// the regression tests of gpsd.
		{"GPGGA,092750.000,5321.6802,N,00630.3372,W,1,8,1.03,61.7,M,55.2,M,,", 0x76},
		{"GPZDA,160012.71,11,03,2004,-1,00", 0x7D},
		{"GPHDT,274.07,T", 0x03},
		{"GPVTG,308.74,T,,M,0.00,N,0.0,K", 0x68},
		{"GPRTE,1,1,c,0", 0x07},
		// Worked out by hand from the definition.
		{"", 0x00},
		{"A", 0x41},
		{"AB", 0x03},
		{"1042,5210034,3171,-184223,2140", 0x16},
	} {
		if got := Checksum([]byte(c.body)); got != c.want {
			t.Errorf("Checksum(%q) = %02X, want %02X", c.body, got, c.want)
		}
	}
}

func TestUnseal(t *testing.T) {
	for _, c := range []struct {
		name, line, body string
		sealed           bool
		why              Reason
	}{
		{"right", "GPHDT,274.07,T*03", "GPHDT,274.07,T", true, NoReason},
		{"lower case", "GPZDA,160012.71,11,03,2004,-1,00*7d", "GPZDA,160012.71,11,03,2004,-1,00", true, NoReason},
		{"none", "GPHDT,274.07,T", "GPHDT,274.07,T", false, NoReason},
		// gpsd's own example of a wrong sum: bit 6 flipped.
		{"wrong", "GPVTG,308.74,T,,M,0.00,N,0.0,K*28", "", false, BadChecksum},
		{"one digit", "GPHDT,274.07,T*3", "", false, BadChecksum},
		{"three digits", "GPHDT,274.07,T*003", "", false, BadChecksum},
		{"no digit", "GPHDT,274.07,T*", "", false, BadChecksum},
		{"not hexadecimal", "GPHDT,274.07,T*0g", "", false, BadChecksum},
		{"two sums", "GPHDT,274.07,T*03*03", "", false, BadChecksum},
		{"control byte", "GPHDT,\x00274.07,T*03", "", false, NotASCII},
		{"delete", "GPHDT\x7f", "", false, NotASCII},
		{"high bit", "GPHDT\xb0", "", false, NotASCII},
		{"nothing but a sum", "*00", "", true, NoReason},
	} {
		body, sealed, why := unseal([]byte(c.line))
		if string(body) != c.body || sealed != c.sealed || why != c.why {
			t.Errorf("%s: unseal(%q) = %q, %t, %s; want %q, %t, %s", c.name, c.line, body, sealed, why, c.body, c.sealed, c.why)
		}
	}
}
