package source

import "strings"

// Bridge is a kind of USB device behind which a microcontroller usually sits.
type Bridge struct {
	Vendor  string // USB vendor id, four lower-case hexadecimal digits
	Product string // USB product id, likewise; empty = any of that vendor
	Kind    string // for people
}

// Bridges lists the bridges and boards that "auto" prefers and that the device rules
// in udev/ name. Ids: common practice, from memory.
func Bridges() []Bridge {
	return []Bridge{
		{"10c4", "ea60", "CP210x bridge"},
		{"0403", "6001", "FT232R bridge"},
		{"0403", "6010", "FT2232 bridge"},
		{"0403", "6014", "FT232H bridge"},
		{"0403", "6015", "FT231X bridge"},
		{"1a86", "7523", "CH340 bridge"},
		{"1a86", "55d4", "CH9102 bridge"},
		{"067b", "2303", "PL2303 bridge"},
		{"2341", "", "Arduino board"},
		{"2a03", "", "Arduino board"},
		{"16c0", "0483", "Teensy board"},
		{"2e8a", "0005", "RP2040 board, interpreter"},
		{"2e8a", "000a", "RP2040 board"},
		{"0483", "5740", "STM32 board"},
		{"303a", "1001", "ESP32 board"},
	}
}

func isKnown(vendor, product string) bool {
	for _, b := range Bridges() {
		if b.Vendor == vendor && (b.Product == "" || strings.EqualFold(b.Product, product)) {
			return true
		}
	}
	return false
}
