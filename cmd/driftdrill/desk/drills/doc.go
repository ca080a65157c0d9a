// Package drills is the path of drills: the list, the page of one drill, and the
// question with which drill a pass is practised.
package drills
