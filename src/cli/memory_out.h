/*
 * cli/memory_out.h - any call for memory that gets none ends the program, whoever made it.
 *
 * Libraries below do not all live through a failed call in their middle: igraph 0.10.2 and libical
 * 3.0.16 crash, libxml2 2.9.14 leaves something out and goes on. Most let nobody provide their memory.
 * So the program provides it to all of them, and none ever sees a call fail.
 */
#ifndef CLI_MEMORY_OUT_H
#define CLI_MEMORY_OUT_H

/* From now on it ends in silence and with status 0: for completion, which then offers less. */
void memory_out_quietly(void);
/* From now on (until NULL) it is said besides that this log has been written. The path is kept. */
void memory_out_after(const char *log);
/* The sentence that says so, of a path. */
#define LOG_WRITTEN "%s: the log has been written all the same; do not record it again"

#endif
