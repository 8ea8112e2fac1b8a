package lifecmd

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/plant/problem"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/life"
)

// Words of --failure-every and --intervals.
const (
	wordOnce  = "once"
	wordNever = "never"
	wordNone  = "none"
)

// validate refuses what is wrong whatever the rig.
func (f *lifeFlags) validate(c *cobra.Command) error {
	onStdout := 0
	for _, used := range []bool{f.json, files.IsStdout(f.csv), files.IsStdout(f.tests)} {
		if used {
			onStdout++
		}
	}
	for _, name := range []string{"csv", "tests"} {
		if flag := c.Flags().Lookup(name); flag.Changed && flag.Value.String() == "" {
			return command.WrongUse(c, "--%s is empty; must be a file", name)
		}
	}
	if onStdout > 1 {
		return command.WrongUse(c, "only one of --json, --csv - and --tests - can have standard output")
	}
	return f.keep.Check(c)
}

// read turns the texts of the flags into the plan and gives back B10d. All that cannot be
// read is reported at once.
func (f *lifeFlags) read(c *cobra.Command, interval time.Duration) (b10d float64, err error) {
	var wrong problem.List
	note := func(flag string, err error) {
		if err != nil {
			wrong = append(wrong, problem.Problem{Path: flag, Message: err.Error()})
		}
	}
	p := &f.plan
	p.Seed, p.Interval = f.overrides.Seed, interval
	for _, t := range []struct {
		flag, text string
		to         *time.Duration
	}{
		{"span", f.span, &p.Span}, {"interval", f.interval, &p.Interval}, {"shift", f.shift, &p.Shift},
		{"cycle", f.cycle, &p.Cycle}, {"window", f.window, &p.Window}, {"service", f.service, &p.Service},
	} {
		if t.flag == "interval" && !c.Flags().Changed(t.flag) {
			continue
		}
		var err error
		*t.to, err = readTime(t.text)
		note(t.flag, err)
	}
	p.DeclinePerDay, p.DeclinePerStop, err = readDecline(f.decline)
	note("decline", err)
	p.FailureOnce, p.FailureEvery, err = readFailure(f.failureEvery)
	note("failure-every", err)
	p.FailureTo, err = readRange(f.failureTo)
	note("failure-to", err)
	p.Intervals, err = f.readIntervals(c)
	note("intervals", err)
	b10d, err = f.readB10d(c)
	note("b10d", err)
	if len(wrong) > 0 {
		return 0, planProblems(c, wrong)
	}
	return b10d, nil
}

// planProblems is the error of wrong values, each with its flag.
func planProblems(c *cobra.Command, list problem.List) error {
	texts := make([]string, len(list))
	for i, m := range list {
		texts[i] = "--" + m.Path + " " + m.Message
	}
	return command.WrongUse(c, "%s", strings.Join(texts, "\n"))
}

func readTime(text string) (time.Duration, error) {
	t, err := life.ParseDuration(strings.TrimSpace(text))
	if err != nil {
		return 0, fmt.Errorf("is %q; must be a time such as 30s, 10m, 8h, 3d or 26w", text)
	}
	return t, nil
}

// readDecline reads 0.1%/day or 1%/stop, or 0 for none.
func readDecline(text string) (perDay, perStop float64, err error) {
	text = strings.TrimSpace(text)
	if text == "0" {
		return 0, 0, nil
	}
	number, per, _ := strings.Cut(text, "%/")
	x, err := strconv.ParseFloat(number, 64)
	switch {
	case err != nil || math.IsNaN(x) || x < 0 || x > 100:
	case per == "day":
		return x / 100, 0, nil
	case per == "stop":
		return 0, x / 100, nil
	}
	return 0, 0, fmt.Errorf("is %q; must be a share of the rated torque such as 0.1%%/day or 1%%/stop, or 0", text)
}

func readFailure(text string) (once bool, every time.Duration, err error) {
	switch strings.TrimSpace(text) {
	case wordOnce:
		return true, 0, nil
	case wordNever:
		return false, 0, nil
	}
	every, err = life.ParseDuration(strings.TrimSpace(text))
	if err != nil || every <= 0 {
		return false, 0, fmt.Errorf("is %q; must be once, never, or a mean time such as 2000h or 26w", text)
	}
	return false, every, nil
}

// readRange reads 0.1..0.5, or one number.
func readRange(text string) ([2]float64, error) {
	low, high, two := strings.Cut(strings.TrimSpace(text), "..")
	if !two {
		high = low
	}
	from, err1 := strconv.ParseFloat(low, 64)
	to, err2 := strconv.ParseFloat(high, 64)
	if err1 != nil || err2 != nil {
		return [2]float64{}, fmt.Errorf("is %q; must be shares of the rated torque such as 0.1..0.5, or one such as 0.2", text)
	}
	return [2]float64{from, to}, nil
}

// readIntervals reads a list of times. Without one it is that of one, two and four shifts, a
// day and a week, as far as the span has them.
func (f *lifeFlags) readIntervals(c *cobra.Command) ([]time.Duration, error) {
	if !c.Flags().Changed("intervals") {
		return f.usualIntervals(), nil
	}
	if strings.TrimSpace(f.intervals) == wordNone {
		return nil, nil
	}
	var list []time.Duration
	for text := range strings.SplitSeq(f.intervals, ",") {
		t, err := readTime(text)
		if err != nil {
			return nil, fmt.Errorf("%w, several separated by commas, or none", err)
		}
		list = append(list, t)
	}
	slices.Sort(list)
	return slices.Compact(list), nil
}

func (f *lifeFlags) usualIntervals() []time.Duration {
	const day = 24 * time.Hour
	shift := f.plan.Shift
	list := []time.Duration{shift, 2 * shift, 4 * shift, day, 7 * day}
	slices.Sort(list)
	return slices.DeleteFunc(slices.Compact(list), func(t time.Duration) bool { return t > f.plan.Span || t < time.Minute })
}

func (f *lifeFlags) readB10d(c *cobra.Command) (float64, error) {
	if !c.Flags().Changed("b10d") {
		return 0, nil
	}
	x, err := strconv.ParseFloat(f.b10d, 64)
	if err != nil || !(x >= 1 && x <= 1e15) {
		return 0, fmt.Errorf("is %q; must be a number of operations such as 60e6", f.b10d)
	}
	return x, nil
}

// judgeInterval is the judge's own interval.
const judgeInterval = "judge.interval"

// setInterval sets the interval of the judge, and the parameter of the sequence that has this role;
// a sequence with the former interval would reject every proof.
func setInterval(c *cobra.Command, set map[string]string, d *sequence.Description, interval time.Duration) error {
	keys, param := []string{judgeInterval, "rig." + judgeInterval}, d.Roles["interval"]
	if param != "" {
		keys = append(keys, "sequence."+param)
	}
	for _, key := range keys {
		if _, twice := set[key]; twice {
			return command.WrongUse(c, "--interval and --set %s both set the interval; must be one of them", key)
		}
	}
	set[judgeInterval] = interval.String()
	if param != "" {
		set["sequence."+param] = strconv.FormatFloat(interval.Seconds(), 'g', -1, 64)
	}
	return nil
}

// oneName is the one name of a value of the judge, which has two.
func oneName(key string) string {
	if own, ok := strings.CutPrefix(key, "rig."); ok && strings.HasPrefix(own, "judge.") {
		return own
	}
	return key
}

// sameInterval refuses a judge and a sequence with different intervals: the sequence would take no
// proof for fresh, and every test would fail.
func sameInterval(c *cobra.Command, ready *sim.Case) error {
	param, ok := ready.Sequence.Role("interval")
	if !ok {
		return nil
	}
	slack, _ := ready.Sequence.Role("signal_slack")
	judge := ready.Rig.Judge.Interval.Seconds()
	if math.Abs(judge-param.Number) <= max(slack.Number, 1e-3) {
		return nil
	}
	return command.WrongUse(c, "judge.interval is %s and sequence.%s is %g s, %s; must be the same, as a sequence takes no other proof for fresh: --interval sets both",
		life.Text(ready.Rig.Judge.Interval), param.Name, param.Number, life.Text(time.Duration(param.Number*float64(time.Second))))
}
