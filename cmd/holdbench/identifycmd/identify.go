// Package identifycmd has the command identify: values of a rig from recordings of its axis.
package identifycmd

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/plant/identify"
	"holdbench/plant/problem"
	"holdbench/plant/recording"
	"holdbench/scenarios"
)

type identifyFlags struct {
	reading     command.RecordingFlags
	from        []string
	pieces      string
	massKG      float64
	rig         string // that is written
	found       string // pieces that are written
	plot        string
	controller  bool // it is the recorder
	json, ascii bool
}

// identified is what was found, with what it was found from.
type identified struct {
	reference  string // of the rig
	rig        *plant.Rig
	recordings []*recording.Recording
	result     *identify.Result
	massKG     float64
	doubts     []string // about the recordings, before they were evaluated
}

// New is the command identify.
func New(a *command.App) *cobra.Command {
	f := &identifyFlags{}
	c := &cobra.Command{
		Use:   "identify RIG --from FILE",
		Short: "Find values of a rig from recordings of its axis",
		Long: page.Prose(`Finds values of a rig (a built-in name or a file) from recordings of the real axis (--from FILE.csv,
repeatable): load torque and mass, friction, inertia, stiffness and play of the brake, its times and sliding torque,
noise of the sensors. Each has its standard error and its 95 % interval. What the recordings do not determine is listed
with the manoeuvre that would determine it.`,
			`The manoeuvres are: standstill; travel up and down at constant speed, at two speeds; a slow press
against the closed brake in both directions; the brake opened and closed while the drive holds; a stop by the brake
from speed with the drive off. They are found from the signals; --found writes the pieces, and --pieces reads them
back after they were corrected. A command of the brake is taken to be given at an unknown moment between two samples;
--recorded-by-controller says that the recorder is the controller itself, whose command is given at a sample, which
narrows the intervals of t11 and t2. Required are a position (position_mm, position_deg or angle_rad) and a current
(current_rms_a or current_amp_a) or torque_nm; brake and brake_closed say when the brake closes.`,
			`The rig gives the structure and every value that is not found: feed constant, incline, counterbalance. All
torques go with its torque constant, unless the moving mass was weighed (--mass-kg) or the motor torque measured by a
transducer (torque_motor_nm), which determine the constant instead. The values are those of one model, fitted together by weighted least squares; a warning says when its
residuals are not those of noise. -o writes the rig with the values that were found, the source and the interval of
each beside it.`,
			command.RecordingHelp(),
			`Exit code 0; 2 if a recording, the rig or the pieces cannot be used.`),
		Example: `  holdbench identify pane-hoist --from axis.csv
  holdbench identify pane-hoist --from axis.csv --mass-kg 180
  holdbench identify pane-hoist --from axis.csv --found pieces.yaml
  holdbench identify pane-hoist --from axis.csv --pieces pieces.yaml -o rig.yaml
  holdbench identify pane-hoist --from axis.csv --plot residuals.svg
  holdbench identify pane-hoist --from axis.csv --json`,
		Args:              command.OneArgument("RIG"),
		ValidArgsFunction: command.FirstOnly(command.CompleteNames(scenarios.RigKind)),
		RunE:              func(c *cobra.Command, args []string) error { return identifyRig(a, c, args[0], f) },
	}
	f.add(c)
	c.SetHelpTemplate(c.HelpTemplate() + "\n" + caution.Short)
	return c
}

func (f *identifyFlags) add(c *cobra.Command) {
	flags := c.Flags()
	flags.SortFlags = false
	flags.StringArrayVar(&f.from, "from", nil, "recording of the axis, `FILE` .csv; required, repeatable")
	flags.StringVar(&f.pieces, "pieces", "", "what is done when in the recordings, `FILE` .yaml in place of what is found")
	flags.Float64Var(&f.massKG, "mass-kg", 0, "weighed moving mass in the first recording, its payload included, a `NUMBER` in kg")
	command.Bound(c, "mass-kg", 0, 1e6)
	flags.BoolVar(&f.controller, "recorded-by-controller", false, "the controller that commands the brake was the recorder: a command is given at its first sample, not at some moment before it")
	flags.StringVarP(&f.rig, "output", "o", "", "write the rig with the values that were found to `FILE` .yaml; - is stdout")
	flags.StringVar(&f.found, "found", "", "write the pieces that were found to `FILE` .yaml; - is stdout")
	flags.StringVar(&f.plot, "plot", "", "draw the residuals over time to `FILE` .svg or .png")
	flags.BoolVar(&f.json, "json", false, "print one JSON object on one line")
	flags.BoolVar(&f.ascii, "ascii", false, "draw with ASCII characters")
	f.reading.Add(c)
	command.Complete(c, "from", command.CompleteFiles("csv"))
	command.Complete(c, "pieces", command.CompleteFiles("yaml"))
	command.Complete(c, "output", command.CompleteFiles("yaml"))
	command.Complete(c, "found", command.CompleteFiles("yaml"))
	command.Complete(c, "plot", command.CompleteFiles("svg", "png"))
	command.Complete(c, "mass-kg", cobra.NoFileCompletions)
}

// mostKG is above every mass that an axis moves.
const mostKG = 1e6

// validate refuses flags that mean nothing.
func (f *identifyFlags) validate(c *cobra.Command) error {
	ending := strings.ToLower(filepath.Ext(f.plot))
	onStdout := 0
	for _, used := range []bool{f.json, files.IsStdout(f.rig), files.IsStdout(f.found), files.IsStdout(f.plot)} {
		if used {
			onStdout++
		}
	}
	switch {
	case len(f.from) == 0:
		return command.WrongUse(c, "--from is missing; must be a recording of the axis, FILE.csv")
	case c.Flags().Changed("mass-kg") && !(f.massKG > 0 && f.massKG < mostKG):
		return command.WrongUse(c, "--mass-kg is %g; must be above 0 and below %g", f.massKG, mostKG)
	case c.Flags().Changed("plot") && !files.IsDevice(f.plot) && ending != ".svg" && ending != ".png":
		return command.WrongUse(c, "--plot is %q, which ends in %q; must end in .svg or .png", f.plot, filepath.Ext(f.plot))
	case onStdout > 1:
		return command.WrongUse(c, "only one of --json, -o -, --found - and --plot - can have standard output")
	}
	return nil
}

func identifyRig(a *command.App, c *cobra.Command, reference string, f *identifyFlags) error {
	if err := f.validate(c); err != nil {
		return err
	}
	z := &identified{reference: reference, massKG: f.massKG}
	var warnings problem.List
	var err error
	if z.rig, warnings, err = scenarios.LoadRig(reference); err != nil {
		return err
	}
	for _, w := range warnings {
		_, _ = fmt.Fprintln(a.Stderr, w.Error())
	}
	options, err := f.reading.Read(c)
	if err != nil {
		return err
	}
	if err := z.read(c.Context(), a, &f.reading, f.from, options); err != nil {
		return err
	}
	given := identify.Options{MassKG: f.massKG, CommandsSampled: f.controller, AcceptDoubts: f.reading.AcceptsDoubts()}
	if f.pieces != "" {
		if given.Pieces, err = z.pieces(f.pieces); err != nil {
			return err
		}
	}
	z.result, err = command.Interruptible(c.Context(), "identifying", func() (*identify.Result, error) {
		return identify.Identify(c.Context(), z.recordings, z.rig, given)
	})
	if err != nil {
		return errors.Join(err, z.leavePieces(a, f))
	}
	return z.leave(a, f)
}

// read reads the recordings and warns of what is not plausible in them.
func (z *identified) read(ctx context.Context, a *command.App, reading *command.RecordingFlags, paths []string, o recording.Options) error {
	for _, path := range paths {
		rec, err := command.ReadRecording(ctx, path, o)
		if err != nil {
			return err
		}
		if slices.ContainsFunc(z.recordings, func(r *recording.Recording) bool { return r.Source == rec.Source }) {
			return fmt.Errorf("--from %s is there twice; must be once", path)
		}
		doubts, err := reading.Doubts(ctx, a, rec, z.rigAt(len(z.recordings)))
		if err != nil {
			return err
		}
		for _, text := range doubts {
			z.doubts = append(z.doubts, filepath.Base(path)+": "+text)
		}
		z.recordings = append(z.recordings, rec)
	}
	return nil
}

// rigAt is the rig with the weighed mass in the first recording, in place of its own mass.
func (z *identified) rigAt(number int) *plant.Rig {
	if number > 0 || z.massKG == 0 {
		return z.rig
	}
	rig := *z.rig
	rig.Load.MassKG, rig.Load.PayloadKG, rig.Load.PayloadLeastKG, rig.Load.PayloadMostKG = z.massKG, 0, 0, 0
	return &rig
}

// pieces reads the pieces that the user gives. Each must be of a recording that is read.
func (z *identified) pieces(file string) (map[string][]identify.Piece, error) {
	pieces, err := scenarios.LoadPieces(file)
	if err != nil {
		return nil, err
	}
	names := make([]string, len(z.recordings))
	for i, r := range z.recordings {
		names[i] = r.Source
	}
	for name := range pieces {
		if !slices.Contains(names, name) {
			return nil, fmt.Errorf("%s has pieces of %q; must be of a recording of --from: %s", file, name, strings.Join(names, ", "))
		}
	}
	return pieces, nil
}

// leavePieces writes the pieces of recordings whose values cannot be fitted, so that they can be corrected.
func (z *identified) leavePieces(a *command.App, f *identifyFlags) error {
	if z.result == nil || f.found == "" {
		return nil
	}
	outputs, err := files.OpenOutputs(a.Stdout, files.Output[*identified]{Path: f.found, Write: writePieces})
	if err != nil {
		return err
	}
	return outputs.Write(z)
}

// leave prints the result and writes the files. A file that cannot be written keeps nobody from reading the result.
func (z *identified) leave(a *command.App, f *identifyFlags) error {
	outputs, err := files.OpenOutputs(a.Stdout,
		files.Output[*identified]{Path: f.rig, Write: writeRig},
		files.Output[*identified]{Path: f.found, Write: writePieces},
		files.Output[*identified]{Path: f.plot, Write: plotWriter(f.plot)})
	if err != nil {
		return err
	}
	written := outputs.Write(z)
	if files.IsStdout(f.rig) || files.IsStdout(f.found) || files.IsStdout(f.plot) {
		return written
	}
	err = a.Printed(func(w io.Writer) error {
		if f.json {
			return files.WriteJSON(w, z.object())
		}
		v := &identifyPage{Sheet: page.NewSheet(a.Screen(f.ascii)), identified: z}
		_, err := io.WriteString(w, v.text())
		return err
	})
	if written != nil {
		return errors.Join(written, err)
	}
	z.sayWritten(a, f)
	return err
}

// sayWritten names the files, and what in a rig is still that of the old one.
func (z *identified) sayWritten(a *command.App, f *identifyFlags) {
	for _, path := range []string{f.rig, f.found, f.plot} {
		if path != "" && !files.IsDevice(path) {
			_, _ = fmt.Fprintf(a.Stderr, "%s written\n", path)
		}
	}
	if f.rig == "" || files.IsDevice(f.rig) {
		return
	}
	still := ""
	if torque := z.rig.Sequence["load_torque_nm"]; torque != "" {
		still = ", such as load_torque_nm: " + page.CleanLine(torque)
	}
	_, _ = fmt.Fprintf(a.Stderr, "Title, note and the sections judge and sequence of %s are those of %s%s. Next: holdbench size %s\n", f.rig, z.reference, still, f.rig)
}

func writePieces(w io.Writer, z *identified) error {
	text, err := scenarios.FormatPieces(z.result.Pieces, "Pieces of recordings. Correct a kind, move a border, or take a piece out; read it with --pieces.\nKinds: "+kinds())
	if err != nil {
		return err
	}
	_, err = w.Write(text)
	return err
}

func kinds() string {
	var names []string
	for _, k := range identify.Kinds() {
		names = append(names, string(k))
	}
	return strings.Join(names, ", ")
}

var errNothing = errors.New("nothing was found that a rig has")
