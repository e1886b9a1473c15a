package source

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/sys/unix"
)

// Inspect finds the port that [SerialOptions].Port would name now, and what can be told
// of it without opening it. Its errors are those of an opening, as far as they can be
// foreseen; what was found until then comes with them.
func Inspect(name string, r Roots) (Inspection, error) {
	r = r.orUsual()
	n, err := parsePortName(name)
	if err != nil {
		return Inspection{}, err
	}
	path, err := n.find(r)
	if err != nil {
		return Inspection{}, err
	}
	node, err := filepath.EvalSymlinks(path)
	if err != nil {
		return Inspection{}, refusal(path, err, r.Proc)
	}
	info, err := os.Stat(node)
	if err != nil {
		return Inspection{}, refusal(path, err, r.Proc)
	}
	if info.Mode()&os.ModeCharDevice == 0 {
		return Inspection{}, notSerial(path, nil)
	}
	in := Inspection{Port: Port{Path: node, Group: groupOf(node), Access: mayUse(node)}}
	if ports, err := ListPorts(r); err == nil {
		if i := slices.IndexFunc(ports, func(p Port) bool { return realPath(p.Path) == node }); i >= 0 {
			in.Port = ports[i]
		}
	}
	in.Holder = holder(r.Proc, node)
	in.Latency = latencyTimer(r.Sys, in.Path)
	in.Probed = modemManagerRuns(r.Proc) && !keptFromModemManager(r.Run, node)
	if !in.Access {
		return in, forbidden(node, in.Group)
	}
	return in, nil
}

// latencyTimer reads how long a bridge holds short packets [ms]; 0 = it has no timer.
func latencyTimer(sys, path string) int {
	text := attribute(filepath.Join(sys, "class", "tty", filepath.Base(path), "device"), "latency_timer")
	ms, _ := strconv.Atoi(text)
	return ms
}

func modemManagerRuns(proc string) bool {
	names, _ := filepath.Glob(filepath.Join(proc, "[0-9]*", "comm"))
	return slices.ContainsFunc(names, func(name string) bool {
		text, err := os.ReadFile(name)
		return err == nil && strings.TrimSpace(string(text)) == "ModemManager"
	})
}

// keptFromModemManager looks into the device database, where the rules of udev have left
// lines such as "E:ID_MM_DEVICE_IGNORE=1" (from memory).
func keptFromModemManager(run, node string) bool {
	var st unix.Stat_t
	if unix.Stat(node, &st) != nil {
		return false
	}
	name := fmt.Sprintf("c%d:%d", unix.Major(st.Rdev), unix.Minor(st.Rdev))
	text, err := os.ReadFile(filepath.Join(run, "udev", "data", name))
	return err == nil && (strings.Contains(string(text), "E:ID_MM_DEVICE_IGNORE=1\n") || strings.Contains(string(text), "E:ID_MM_PORT_IGNORE=1\n"))
}
