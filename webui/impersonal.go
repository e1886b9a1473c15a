package webui

import (
	"log/slog"
	"regexp"
	"strings"
)

// addresses are those of IPv4 and IPv6, with a port or without.
var addresses = regexp.MustCompile(`\[[0-9A-Fa-f:.%\w]*\](:\d+)?|\d+\.\d+\.\d+\.\d+(:\d+)?`)

// impersonal writes what net/http complains of into a log, without the address of whom it
// served: who looks at a bench is nobody's business.
type impersonal struct{ log *slog.Logger }

// Write implements [io.Writer].
func (i impersonal) Write(p []byte) (int, error) {
	says := addresses.ReplaceAllString(strings.TrimSpace(string(p)), "ADDRESS")
	i.log.Warn("the web server complains", "says", says)
	return len(p), nil
}
