package paper

import (
	"io"

	"joulewell/energy/worksheet"
)

// Worksheet writes a sheet to print, with room to write the figures in; with a key, the
// key, which says so on every page, in its place.
func Worksheet(w io.Writer, sheet *worksheet.Sheet, key *worksheet.Key) error {
	return write(w, "worksheet.html", struct {
		*worksheet.Sheet
		Key *worksheet.Key
	}{sheet, key})
}
