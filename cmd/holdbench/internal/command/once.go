package command

import (
	"fmt"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// onceEach makes every flag that takes one file refuse a second one, for all commands below.
func onceEach(c *cobra.Command) {
	wrap := func(f *pflag.Flag) {
		if _, several := f.Value.(pflag.SliceValue); !several && takesFile(f) {
			f.Value = &once{Value: f.Value}
		}
	}
	c.Flags().VisitAll(wrap)
	for _, below := range c.Commands() {
		onceEach(below)
	}
}

// once is the value of a flag that may be given once: the last of two would replace the first silently.
type once struct {
	pflag.Value
	first string
	given bool
}

// Set takes the value.
func (o *once) Set(text string) error {
	if o.given {
		return &twiceError{o.first, text}
	}
	o.first, o.given = text, true
	return o.Value.Set(text)
}

// twiceError is a flag that was given twice.
type twiceError struct{ first, second string }

func (e *twiceError) Error() string {
	return fmt.Sprintf("given twice, as %q and as %q; must be given once", e.first, e.second)
}
