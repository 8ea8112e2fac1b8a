package plant_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
)

type solverCases struct {
	Tick  string         `json:"tick"`
	Rig   map[string]any `json:"rig"` // by the keys of the rig document
	Cases []solverCase   `json:"cases"`
}

type solverCase struct {
	Name   string         `json:"name"`
	Rig    map[string]any `json:"rig"` // over the common one
	End    string         `json:"end"`
	Stops  bool           `json:"stops"` // it has a stopping time
	Script []solverLine   `json:"script"`
}

type solverLine struct {
	At          string  `json:"at"`
	Drive       string  `json:"drive"`
	PressTorque float64 `json:"press_torque_nm"`
	PressRate   float64 `json:"press_rate_nm_s"`
	Brake       string  `json:"brake"`
}

type solverResults struct {
	CasesSHA256 string                  `json:"cases_sha256"`
	Cases       map[string]solverResult `json:"cases"`
}

// solverResult is a case as the solver has it, or as the plant does.
type solverResult struct {
	Sag          float64            `json:"sag_rad"` // start less the lowest angle
	Slip         float64            `json:"slip_rad"`
	SlipWork     float64            `json:"slip_work_j"`
	StoppingTime float64            `json:"stopping_time_s"` // first rest after the peak speed
	PeakSpeed    float64            `json:"peak_speed_rad_s"`
	FinalAngle   float64            `json:"final_angle_rad"`
	Warmed       float64            `json:"warmed_k"`
	Times        []float64          `json:"t_s"`
	Angle        []float64          `json:"angle_rad"`
	Speed        []float64          `json:"speed_rad_s"`
	BrakeTorque  []float64          `json:"brake_torque_nm"` // mean of the tick before
	OwnError     map[string]float64 `json:"own_error"`
}

func TestPrintSolver(t *testing.T) {
	cases, results := readSolverCases(t)
	for _, c := range cases.Cases {
		want := results.Cases[c.Name]
		rig := solverRig(t, cases, c)
		got := runSolverCase(t, rig, c, want.Times)
		fmt.Println(c.Name)
		rel := func(n string, w, g float64) {
			fmt.Printf("   %-10s %12.6g %12.6g rel %9.1e abs %9.1e\n", n, w, g, math.Abs(g-w)/math.Abs(w), g-w)
		}
		rel("sag", want.Sag, got.Sag)
		rel("slip", want.Slip, got.Slip)
		rel("work", want.SlipWork, got.SlipWork)
		rel("stop", want.StoppingTime, got.StoppingTime)
		rel("peak", want.PeakSpeed, got.PeakSpeed)
		rel("path", want.FinalAngle-want.startAngle(rig), got.FinalAngle-want.startAngle(rig))
		rel("warm", want.Warmed, got.Warmed)
		col := func(n string, w, g []float64, off float64) {
			scale, worst, at := 0.0, 0.0, 0.0
			for i := range w {
				scale = max(scale, math.Abs(w[i]-off))
				if d := math.Abs(w[i] - g[i]); d > worst {
					worst, at = d, want.Times[i]
				}
			}
			fmt.Printf("   %-10s scale %9.3g worst %9.1e rel %9.1e at %g\n", n, scale, worst, worst/scale, at)
		}
		col("angle", want.Angle, got.Angle, want.startAngle(rig))
		col("speed", want.Speed, got.Speed, 0)
		col("torque", want.BrakeTorque, got.BrakeTorque, 0)
	}
}

func (r solverResult) startAngle(rig plant.Rig) float64 {
	return plant.New(rig, 1).State().AngleRad
}

func readSolverCases(t *testing.T) (solverCases, solverResults) {
	t.Helper()
	var cases solverCases
	var results solverResults
	text := decodeSolverFile(t, "cases.json", &cases)
	decodeSolverFile(t, "results.json", &results)
	sum := sha256.Sum256(text)
	require.Equal(t, results.CasesSHA256, hex.EncodeToString(sum[:]), "results.json is not of this cases.json: run axis.py")
	require.Len(t, results.Cases, len(cases.Cases))
	return cases, results
}

// decodeSolverFile keeps numbers as they are written, for [plant.Field.Set].
func decodeSolverFile(t *testing.T, name string, into any) []byte {
	t.Helper()
	text, err := os.ReadFile("testdata/solver/" + name)
	require.NoError(t, err)
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	require.NoError(t, d.Decode(into))
	return text
}

// solverRig is a rig with the values of a case; the rest cannot matter, and says so by
// being valid.
func solverRig(t *testing.T, cases solverCases, c solverCase) plant.Rig {
	t.Helper()
	rig := plant.Defaults()
	rig.Rig, rig.Drive.SpeedMMS, rig.Drive.AccelerationMMS2, rig.Judge.CeilingNM = c.Name, 100, 1000, 100
	fields := map[string]plant.Field{}
	for _, f := range plant.Fields(&rig) {
		fields[f.Path] = f
	}
	for _, values := range []map[string]any{cases.Rig, {"clock.tick": cases.Tick}, c.Rig} {
		for path, v := range values {
			require.Contains(t, fields, path)
			require.NoError(t, fields[path].Set(fmt.Sprint(v)))
		}
	}
	for _, p := range plant.Validate(&rig) {
		require.True(t, p.Warning, p.Message)
	}
	return rig
}

// runSolverCase runs the plant and measures what the solver measured.
func runSolverCase(t *testing.T, rig plant.Rig, c solverCase, times []float64) solverResult {
	t.Helper()
	p := plant.New(rig, 1)
	tick, s := rig.Clock.Tick, p.State()
	start, lowest, peakAt := s.AngleRad, s.AngleRad, 0.0
	r := solverResult{PeakSpeed: math.Abs(s.SpeedRadS)}
	stopped := math.Inf(1)
	for now := time.Duration(0); now < solverTime(t, c.End); now += tick {
		before := s.SpeedRadS
		p.Sample()
		p.Step(c.command(t, now))
		at := (now + tick).Seconds()
		lowest = min(lowest, s.AngleRad)
		if size := math.Abs(s.SpeedRadS); size > r.PeakSpeed {
			r.PeakSpeed, peakAt, stopped = size, at, math.Inf(1)
		}
		if before*s.SpeedRadS <= 0 && math.IsInf(stopped, 1) && at > peakAt {
			stopped = at - tick.Seconds()*s.SpeedRadS/(s.SpeedRadS-before)
		}
		if n := len(r.Times); n < len(times) && at >= times[n]-tick.Seconds()/2 {
			r.Times = append(r.Times, at)
			r.Angle = append(r.Angle, s.AngleRad)
			r.Speed = append(r.Speed, s.SpeedRadS)
			r.BrakeTorque = append(r.BrakeTorque, s.BrakeTorqueNM)
		}
	}
	r.Sag, r.Slip, r.SlipWork, r.FinalAngle = start-lowest, s.SlipRad, s.SlipWorkJ, s.AngleRad
	r.Warmed = s.BrakeTempC - rig.Brake.AmbientC
	r.StoppingTime = stopped
	return r
}

// command is the last line of the script that is due.
func (c solverCase) command(t *testing.T, now time.Duration) plant.Command {
	t.Helper()
	var due plant.Command
	for _, line := range c.Script {
		if solverTime(t, line.At) > now {
			break
		}
		due = plant.Command{Mode: plant.Off, CloseBrake: line.Brake == "closed"}
		if line.Drive == "press" {
			due.Mode, due.PressTorqueNM, due.PressRateNMS = plant.Press, line.PressTorque, line.PressRate
		}
	}
	return due
}

func solverTime(t *testing.T, text string) time.Duration {
	t.Helper()
	d, err := time.ParseDuration(text)
	require.NoError(t, err)
	return d
}
