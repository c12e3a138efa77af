// Package synthetic invents sessions whose bouts are known: the measuring
// stick for package bouts, and the source of the demonstration practice.
//
// A session is made in the order in which a real one comes about:
//
//  1. a plan: warm-up, openers, bouts, recoveries, cool-down (plan.go,
//     protocol.go), each bout with a shape (shape.go);
//  2. what the client then does: the plan with ramps at its edges and the
//     noise of legs, roads and hills (noise.go, terrain.go);
//  3. what the heart does about it (kinetics.go);
//  4. what the device writes down: rounding, sparse or paused recording,
//     positions instead of speed, dropouts and strap artefacts (device.go);
//  5. the 1 Hz grid that the finder is given (grid.go).
//
// Everything is drawn from one seeded generator, so that a session is known
// by its scenario and seed. The scenarios (scenario.go) are ranges, wider than
// any one client; none of their numbers is known to the finder.
package synthetic
