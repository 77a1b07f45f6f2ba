"""The Textual face: arranges what `talk` says on a full terminal. Nothing else in the program imports textual."""
