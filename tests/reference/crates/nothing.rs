//! Nothing: the manifest beside this file needs a library to name.
