// Package kit is the toolkit under the screens: a window, a canvas, type,
// lists, fields, buttons, the way the keys go through them, and the words by
// which they are spoken. It knows no bird, no drill and no mark, and imports
// nothing of this program.
//
// A program is a Host behind a Window. A SceneOf is one screen of it; a
// Director shows one and keeps those beneath it. Scenes draw on a Canvas in
// dips (device-independent pixels, see Window.Size) with colours from a Palette
// and text from a Type. Input is reduced once an update to logical actions (see
// Action and Bindings) and pointers.
//
// # Drawing
//
// Lines and areas are triangles with edges of falling alpha, gathered into one
// batch; nothing is stroked with anti-aliasing onto the window, which under
// software rendering costs its whole area again. Shapes with texture (a knob,
// paper, the ground) are painted once into images, beside the drawing. Text is
// kept as images by string and style, filled by the processor.
//
// A picture is written down before it is drawn, and drawn only where it differs
// from what the window shows: a page that stands still costs next to nothing and
// need not say so. A page whose images are still being painted is shown when
// all of it is ready; until then the former page stays.
package kit
