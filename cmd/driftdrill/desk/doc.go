// Package desk is the window: screens, widgets and input devices. It posts
// the operator's commands to a session and draws the session's snapshots. It
// computes no physics, opens no files, and knows no clock but that of its own
// animations: wall-clock time never reaches the simulation.
//
// # Toolkit
//
// A Scene is one screen; a Director shows one and keeps those beneath it.
// Scenes draw on a Canvas in dips (device-independent pixels, see App.Size)
// with colours from a Palette and text from a Type. Input is reduced once an
// update to logical actions (see Action and Bindings) and pointers.
//
// # Drawing
//
// Lines and areas are triangles with edges of falling alpha, gathered into one
// batch; nothing is stroked with anti-aliasing onto the window, which under
// software rendering costs its whole area again. Shapes with texture (the
// knob, paper, the ground) are painted once into images, beside the drawing.
// Text is kept as images by string and style, filled by the processor.
//
// A picture is written down before it is drawn, and drawn only where it differs
// from what the window shows: a page that stands still costs next to nothing and
// need not say so. A page whose images are still being painted is shown when
// all of it is ready; until then the former page stays.
package desk
