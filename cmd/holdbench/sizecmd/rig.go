package sizecmd

import (
	"fmt"
	"strings"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/plant/sizing"
	"holdbench/scenarios"
)

// leaveRig writes the rig with the values of its sizing, unless no value would do.
func leaveRig(a *command.App, sized *sizedRig, path string) error {
	if path == "" {
		return nil
	}
	if crossed := sized.result.Crossed; len(crossed) > 0 {
		_, _ = fmt.Fprintf(a.Stderr, "%s not written, as bounds cross:\n  %s\n", path, strings.Join(crossed, "\n  "))
		return nil // the exit code comes with the scenario
	}
	text, err := scenarios.RewriteRig(sized.reference, rigValues(sized.result.Settings))
	if err != nil {
		return err
	}
	if err := files.WriteWhole(path, a.Stdout, text); err != nil || files.IsDevice(path) {
		return err
	}
	_, _ = fmt.Fprintf(a.Stderr, "%s written\n", path)
	return nil
}

// rigValues are the values of a sizing that the rig does not have yet, by its keys.
func rigValues(settings []sizing.Setting) []scenarios.RigValue {
	var list []scenarios.RigValue
	for _, s := range settings {
		if s.Value == s.Now {
			continue
		}
		list = append(list, scenarios.RigValue{Path: strings.TrimPrefix(s.Key, "rig."), Text: s.Value, Remark: "by holdbench size"})
	}
	return list
}
