// Package radio reads the dial of the operator's own transceiver over TCP from
// the daemon of the common rig-control library, by its published network
// protocol (extended responses). It only reads: the three requests in
// request.go are all that it ever sends, and nothing at the end. It never
// keys and never tunes.
//
// A Watcher asks for the frequency up to 30 times a second while somebody
// follows, and connects again after a loss. A Dial turns its readings into
// movements of a dial of the run.
package radio
