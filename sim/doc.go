// Package sim runs a rig, a sequence and a safety side in lockstep and compares the run with the
// truth of the plant.
//
// # A run
//
// A [Case] is a scenario with all that it names: a rig (package plant), a compiled sequence
// (package sequence), faults, the operator's script and expectations. [NewCase] makes it and
// reports all that is wrong at once. A case is never changed by a run; any number of runs may
// share it, also at the same time.
//
// A [Bench] is one run of a case. [Run] takes it to its end; [RunAll] does so for many cases on
// several workers. To look at a run or to interfere, make the bench with [NewBench], call
// [Bench.Tick], and in between [Bench.View], [Bench.Inject], [Bench.SetButton], [Bench.Clone].
// A run ends half a second after the sequence has reached an end, or at the run limit of [Case.RunLimit].
// Its [Result] says how it ended, what the judge said, and what was true.
//
// # Lockstep
//
// There is one clock. The tick of the plant is the shortest period; the functional scan and
// the safety scan are whole numbers of ticks. In each tick, in this order:
//
//  1. the operator's script and the faults that are due take effect (operator.go,
//     faults.go);
//  2. the sensors are sampled;
//  3. the functional scan, if due: inputs image in, one scan of the sequence, outputs image
//     out (functional.go);
//  4. the safety scan, if due: the request comes in over the link, one scan of the safety side
//     (package sim/safety: judge and stop), the verdict goes out over the link (safety.go);
//  5. commands are latched into drive and brake; a stop of the safety side overrides those of
//     the sequence (signals.go);
//  6. the plant advances to the next tick;
//  7. obligations and truth are monitored, and a functional scan is traced.
//
// Signals between the two sides arrive a set number of safety scans late, in either direction.
// The file signals.go holds the only mapping between the signals of plant, sequence and safety
// side. Torques are in N·m at the motor shaft, positions in mm of the load unless a name
// ends otherwise; positive raises the load. The judge's currents are amplitudes, the sensors'
// are rms.
//
// # Faults, targets, catalogue
//
// Three words, each for one thing:
//
//   - A [Fault] is what a scenario says: a moment, and the values that are set at it, for a
//     while or to the end of the run.
//   - A [Target] is one thing that a fault can set: a value of the rig, a signal between the
//     two sides, or a button of the operator. [Targets] lists them. Nearly every value of a
//     rig is a target; some are permanent, as a run cannot undo them.
//   - A catalogue entry (package sim/catalogue) is a fault of the trade with a name, a scale of
//     severity and a remedy. Given a rig, a severity and a moment it becomes a fault. The bench
//     does not know the catalogue.
//
// A fault acts on the plant, the signals or the engineering data; it never acts on the
// sequence. Faults on the same target stack: when the newest ends, the value of the one before
// it counts again.
//
// # Events
//
// An [Event] is something that happened, with the state of the sequence and the truth at that
// moment. Its [EventType] says what happened, and all decisions go by the type; What is for
// people and may be reworded at any time. Kinds group the types for lists. Only a lesson looks
// for words, because its document does ([EventMatch]).
//
// # Obligations and classes
//
// An [Obligation] must hold in every run, whatever the fault; [Obligations] lists them with
// their rules. They are watched in every tick against the truth, not against the signals.
//
// A [Class] is the run compared with the truth. It rests on four facts (class.go): the
// sequence released operation on a proof of this run; the static capacity of the brake, of two of
// each, is at least the required test torque, at the verdict and at the end; the load was held from
// the start of the run to its end, whatever state the controller tells; a fault was active, or the
// load was not held. A dangerous run is [Missed]. Beside it stands whether the judge's verdict was right. A class says nothing about the obligations: a run may be caught and
// still have dropped the load.
//
// # Two brakes
//
// A rig may have a second brake (judge_brakes.go, brakes.go). It has the command of the first until
// a sequence sets brake_2. A proof for one brake never stands for the other: the judge reads both
// switches, gives the proof to the brake that was closed throughout the check, and fails a check
// with both closed (judge.one_brake_at_a_time). The proof as a whole is valid as long as that of
// each is; the run is proven, and may pass, only once each brake was proven in it. A failure
// withdraws the proof of the brake that was tested. Truth asks each brake alone for the required
// torque. For obligations, one brake that holds the load is enough: the other may open.
//
// # Determinism
//
// A run is a pure function of its documents and its seed: the same bytes on any machine and on
// any number of workers. Nothing here reads a clock or a random source of its own; each sensor
// draws from a generator that belongs to it, so that a fault does not shift the noise of another
// sensor. [Bench.Clone] copies a run at any moment, and the copy goes on in the same way.
//
// # What is built on it
//
// Packages below this one use the bench and add no physics: history (go back and branch),
// probe (every fault in every state), sweep (many runs with spreads), life (months of
// production), mutation (errors in a sequence), training (riddles). Documents are read by
// package scenarios, which this package does not know.
package sim
