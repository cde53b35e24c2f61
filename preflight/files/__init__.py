"""Files of others read so that none can hang or flood; outputs that appear whole or not at all."""
