package probecmd

import (
	"fmt"
	"io"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/sim/probe"
)

// Merger combines the parts of a probe.
func Merger() command.Merger {
	return command.Merger{Kind: "probe", Of: "cell", Merge: func(parts []io.Reader, names []string, write func([]byte) error) (int, error) {
		var list []*probe.Reader
		for i, part := range parts {
			in, err := probe.NewReader(part)
			if err != nil {
				return 0, fmt.Errorf("%s: %w", names[i], err)
			}
			list = append(list, in)
		}
		return probe.Merge(list, names, write)
	}}
}
