// Nothing but what CMake puts before it: the headers that are compiled once for all tests.
